// Keeps the focus from falling into nothing. A button that goes when it was pressed takes the focus with it, and whoever works by
// keys then has to find the place again: the focus goes to the nearest part around it that is still there. Browsers tell of such a
// loss each in its own way or not at all, so it is looked for.

/** How often, in ms: before the next key. */
const EVERY = 150;

/** Begins to look after the page's focus. */
export function keepFocus() {
  /** What has the focus, and what lies around it, from the inside out. @type {Element[]} */
  let around = [];
  document.addEventListener('focusin', ({ target }) => {
    around = [];
    for (let part = target instanceof Element ? target : null; part && part !== document.body; part = part.parentElement) around.push(part);
  });
  // A press on the bare page gives the focus up.
  document.addEventListener('pointerdown', () => { around = []; }, { capture: true });
  setInterval(() => {
    const active = document.activeElement;
    const [had] = around;
    if ((active && active !== document.body) || !had || isSeen(had)) return;
    const still = around.find(isSeen);
    around = [];
    if (!(still instanceof HTMLElement)) return;
    if (!still.hasAttribute('tabindex')) still.tabIndex = -1;
    still.focus({ preventScroll: true });
  }, EVERY);
}

/** @param {Element} part */
const isSeen = (part) => part.isConnected && part.checkVisibility();
