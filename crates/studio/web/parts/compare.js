// A press that flicks to the other picture: for as long as it is held, or, when it is only tapped, until it is tapped
// again.

import { h } from './dom.js';

/** Let go sooner than this it was a tap, in ms. */
const TAP = 350;

/** @param {(on: boolean) => void} flick */
export function compareButton(flick) {
  let on = false;
  /** When it was pressed, on the clock of events; null while it is not held. @type {number | null} */
  let since = null;
  /** Whether it was on already when it was pressed. */
  let wasOn = false;

  /** @param {boolean} now */
  function turn(now) {
    if (on === now) return;
    on = now;
    element.setAttribute('aria-pressed', String(on));
    flick(on);
  }

  /** @param {Event} event */
  function hold(event) {
    if (since !== null) return;
    [since, wasOn] = [event.timeStamp, on];
    turn(true);
  }

  /** @param {Event} event */
  function letGo(event) {
    if (since === null) return;
    const tapped = event.timeStamp - since < TAP;
    since = null;
    turn(tapped && !wasOn);
  }

  /** @param {KeyboardEvent} event */
  const isPress = (event) => event.key === ' ' || event.key === 'Enter';

  const element = h('button', {
    type: 'button', 'aria-pressed': 'false', class: 'plain',
    onpointerdown: (/** @type {PointerEvent} */ event) => event.button === 0 && hold(event),
    onpointerup: letGo, onpointercancel: letGo, onpointerleave: letGo, onblur: letGo,
    onkeydown(/** @type {KeyboardEvent} */ event) {
      if (!isPress(event)) return;
      event.preventDefault();
      hold(event);
    },
    onkeyup(/** @type {KeyboardEvent} */ event) {
      if (!isPress(event)) return;
      event.preventDefault();
      letGo(event);
    },
    // A click without a pointer or a key comes from a voice or a switch.
    onclick: (/** @type {MouseEvent} */ event) => { if (event.detail === 0) turn(!on); },
    oncontextmenu: (/** @type {Event} */ event) => event.preventDefault(),
  }, 'Compare');

  return {
    element,
    /** Back to where it was not pressed, without a word. */
    reset() {
      [on, since] = [false, null];
      element.setAttribute('aria-pressed', 'false');
    },
  };
}
