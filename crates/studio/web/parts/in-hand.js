// What is in hand: the same moves as a finger on the canvas makes, by buttons. One of the things named is in hand; the
// arrows move it, and a tap on the wall can set it there.

import { button, choice } from './controls.js';
import { h } from './dom.js';

/** @import { Xy } from '../api.js' */

/**
 * @param {{ legend: string, things: [key: string, label: string][], take: (key: string) => void, nudge: (key: string, steps: Xy) => void, hint: string }} options
 */
export function inHand({ legend, things, take, nudge, hint }) {
  let key = things[0]?.[0] ?? '';
  const names = choice({ legend, options: things, pick: (picked) => { key = picked; take(picked); } });
  names.set(key);
  /** @type {(sign: string, name: string, steps: Xy) => HTMLButtonElement} */
  const arrow = (sign, name, steps) => button(sign, () => nudge(key, steps), { name, repeats: true });
  const element = h('div', { class: 'in-hand' },
    names.element,
    h('div', { class: 'arrows', role: 'group', 'aria-label': 'Move what is in hand' },
      arrow('←', 'To the left', [-1, 0]), arrow('↑', 'Up', [0, -1]), arrow('↓', 'Down', [0, 1]), arrow('→', 'To the right', [1, 0])),
    h('p', { class: 'hint' }, hint));
  return {
    element,
    get key() { return key; },
    /** @param {string} taken */
    take(taken) {
      key = taken;
      names.set(taken);
    },
  };
}
