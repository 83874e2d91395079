// What fingers do on the glass over the picture: a touch shows or puts away the ledge, or picks what it touches; a swipe
// moves by one box; holding still flicks to the other tone until the finger is lifted.

import { h } from '../parts/dom.js';

/** Held still for longer than this it is no touch, in ms. */
const STILL = 250;
/** A finger that has moved less than this is still, in CSS pixels. */
const TREMBLE = 12;
/** A finger that has moved more than this has swiped. */
const SWIPE = 40;

/**
 * @param {{ touched: (event: MouseEvent) => void, step: (right: number, down: number) => void, flick: (on: boolean) => void, locked: () => boolean }} hand
 */
export function glass({ touched, step, flick, locked }) {
  /** @type {{ x: number, y: number, timer: number, flicked: boolean, moved: boolean } | null} */
  let held = null;
  /** Whether the click that follows a movement is part of it. */
  let spent = false;

  /** @param {PointerEvent} event */
  function down(event) {
    spent = false;
    if (!event.isPrimary || event.button !== 0) return release();
    const now = { x: event.clientX, y: event.clientY, flicked: false, moved: false, timer: 0 };
    now.timer = window.setTimeout(() => {
      now.flicked = true;
      flick(true);
    }, STILL);
    held = now;
    element.setPointerCapture(event.pointerId);
  }

  /** @param {PointerEvent} event */
  function move(event) {
    if (!held || held.flicked || Math.hypot(event.clientX - held.x, event.clientY - held.y) < TREMBLE) return;
    held.moved = true;
    clearTimeout(held.timer);
  }

  /** @param {PointerEvent} event */
  function up(event) {
    if (!held) return;
    const [right, below] = [event.clientX - held.x, event.clientY - held.y];
    spent = held.flicked || held.moved;
    const swiped = held.moved && Math.max(Math.abs(right), Math.abs(below)) > SWIPE;
    release();
    if (!swiped) return;
    // The picture follows the finger, so the window goes the other way.
    if (Math.abs(right) > Math.abs(below)) step(-Math.sign(right), 0);
    else step(0, -Math.sign(below));
  }

  function release() {
    if (!held) return;
    clearTimeout(held.timer);
    if (held.flicked) flick(false);
    held = null;
  }

  const element = h('button', {
    type: 'button', class: 'glass', 'aria-expanded': 'false', 'aria-controls': 'ledge',
    onpointerdown: down, onpointermove: move, onpointerup: up, onpointercancel: release,
    onclick: (/** @type {MouseEvent} */ event) => { if (!spent) touched(event); spent = false; },
    oncontextmenu: (/** @type {Event} */ event) => event.preventDefault(),
  });

  // While the size is locked nothing enlarges the page: no pinch on glass (with touch-action in easel.css), none on a
  // trackpad (a wheel with Ctrl), none where touch-action is not heeded (gesturestart).
  /** @param {Event} event */
  const hold = (event) => {
    const isWheel = event instanceof WheelEvent;
    if (locked() && (!isWheel || event.ctrlKey)) event.preventDefault();
  };
  for (const name of ['wheel', 'gesturestart', 'gesturechange']) document.addEventListener(name, hold, { passive: false });

  return element;
}
