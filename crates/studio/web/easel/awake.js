// Keeps the screen awake while the easel page is seen (Screen Wake Lock). Browsers allow it only to pages of this same
// computer or over HTTPS; elsewhere the painter is told what she can set on the tablet herself.

/** What is said where the page may not do it. */
const BY_HAND = 'This browser lets the screen go dark by itself. While you paint, set the tablet’s display never to turn off, and turn that back afterwards.';
const HELD = 'The screen stays awake while this page is seen.';
const REFUSED = 'The screen may go dark by itself: the tablet is saving its battery.';

/** @param {(sentence: string) => void} say */
export function stayAwake(say) {
  if (!isSecureContext || !('wakeLock' in navigator)) return say(BY_HAND);
  const ask = async () => {
    if (document.hidden) return;
    try {
      await navigator.wakeLock.request('screen');
      say(HELD);
    } catch {
      say(REFUSED);
    }
  };
  // A hidden page loses it.
  document.addEventListener('visibilitychange', () => void ask());
  void ask();
}
