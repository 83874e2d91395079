// The head of an open line on a small screen: its title, a grip that pulls the sheet up over the canvas or lets it
// down again by drag, tap or key, and a way back to the notebook. On a wide screen it is not shown.

import { button } from './controls.js';
import { h } from './dom.js';

/** A drag of less than this is a tap, in screen pixels. */
const TAP = 8;

/**
 * @param {HTMLElement} sheet
 * @param {string} title
 * @param {() => void} close
 */
export function pullUp(sheet, title, close) {
  let start = 0;
  let drag = 0;
  const grip = h('button', {
    type: 'button', class: 'grip', 'aria-label': 'Pull the sheet up', 'aria-expanded': 'false',
    onpointerdown: (/** @type {PointerEvent} */ event) => {
      grip.setPointerCapture(event.pointerId);
      [start, drag] = [event.clientY, 0];
    },
    onpointermove: (/** @type {PointerEvent} */ event) => {
      if (!grip.hasPointerCapture(event.pointerId)) return;
      drag = event.clientY - start;
      sheet.style.setProperty('--dragged', `${-drag}px`);
    },
    onpointercancel: () => rest(sheet.classList.contains('up')),
    onclick: () => {
      const isUp = sheet.classList.contains('up');
      rest(Math.abs(drag) < TAP ? !isUp : drag < 0);
      drag = 0;
    },
  });

  /** @param {boolean} up */
  function rest(up) {
    sheet.style.removeProperty('--dragged');
    sheet.classList.toggle('up', up);
    grip.setAttribute('aria-expanded', String(up));
  }

  return h('div', { class: 'sheet-head' }, grip,
    h('p', { class: 'sheet-title' }, title), button('Back to the notebook', close, { kind: 'quiet' }));
}
