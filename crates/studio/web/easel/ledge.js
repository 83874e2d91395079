// The ledge under the picture, shown when the glass is touched: what is seen, in which tone, which way round, how large,
// and which part of it.

import { button, list } from '../parts/controls.js';
import { h, setText } from '../parts/dom.js';

/** @import { Looks } from './board.js' */

/** Ratios that proportional dividers are marked with; 1 is true size. @type {[value: string, name: string, ratio: number][]} */
export const RATIOS = [['1:1', 'True size', 1], ['3:4', '3:4', 3 / 4], ['2:3', '2:3', 2 / 3], ['1:2', '1:2', 1 / 2], ['1:3', '1:3', 1 / 3], ['1:4', '1:4', 1 / 4], ['1:6', '1:6', 1 / 6]];

/** The side of the small map, in CSS pixels. */
const MAP = 96;

/** What one tap turns on and off. @type {[name: 'grid' | 'details' | 'mirror' | 'upside', label: string][]} */
const SWITCHES = [['grid', 'Grid'], ['details', 'Detail grids'], ['mirror', 'Mirror'], ['upside', 'Upside down']];

/**
 * @typedef {object} Doings
 * @property {(change: Partial<Looks>) => void} look
 * @property {(on: boolean) => void} flick
 * @property {(right: number, down: number) => void} step
 * @property {(ratio: string) => void} ratio
 * @property {() => void} measure
 * @property {() => void} lock
 */

/** @param {Doings} doings */
export function ledge({ look, flick, step, ratio, measure, lock }) {
  /** @type {Looks | null} */
  let looks = null;
  const switches = SWITCHES.map(([name, label]) => ({ name, press: button(label, () => looks && look({ [name]: !looks[name] })) }));
  const grey = button('Grey', () => looks && look({ tone: looks.tone === 'grey' ? 'photo' : 'grey' }));
  const compare = h('button', {
    type: 'button',
    onpointerdown: () => flick(true), onpointerup: () => flick(false), onpointercancel: () => flick(false), onpointerleave: () => flick(false),
    onkeydown: (/** @type {KeyboardEvent} */ event) => [' ', 'Enter'].includes(event.key) && flick(true),
    onkeyup: () => flick(false), onblur: () => flick(false),
    oncontextmenu: (/** @type {Event} */ event) => event.preventDefault(),
  }, 'Hold to compare');
  const arrows = /** @type {[string, string, number, number][]} */ ([['↑', 'up', 0, -1], ['←', 'left', -1, 0], ['→', 'right', 1, 0], ['↓', 'down', 0, 1]])
    .map(([sign, way, right, down]) => ({ right, down, way, press: button(sign, () => step(right, down), { name: `One box ${way}` }) }));
  for (const { press, way } of arrows) press.classList.add(way);
  const mapPlace = h('div', { class: 'map-place' });
  const moving = h('div', { class: 'moving', role: 'group', 'aria-label': 'Move by one grid box' }, ...arrows.map(({ press }) => press), mapPlace);
  const size = list({ label: 'Size on this screen', pick: ratio });
  const standing = h('p', { class: 'standing-size' });
  const about = h('p', { class: 'hint' });
  const lockPress = button('', lock, { kind: 'quiet' });
  const awake = h('p', { class: 'hint' });
  const more = h('div', { class: 'row' });
  const element = h('section', { id: 'ledge', class: 'ledge', 'aria-label': 'The ledge', hidden: true },
    h('div', { class: 'ledge-size' }, standing, about, size.element,
      h('div', { class: 'row' }, button('Measure this screen again', measure, { kind: 'quiet' }), lockPress)),
    h('div', { class: 'ledge-looks' },
      h('div', { class: 'looks', role: 'group', 'aria-label': 'What is seen' }, ...switches.map(({ press }) => press)),
      h('div', { class: 'looks', role: 'group', 'aria-label': 'Tone' }, grey, compare),
      h('p', { class: 'hint' }, 'Touch the picture to put this ledge away. Swipe, or press an arrow key, to move by one grid box. Hold a finger still on the picture to compare it with its greys (relative luminance).'),
      awake, more),
    moving);

  return {
    element, more,
    /** @param {string} sentence */
    sayAwake: (sentence) => setText(awake, sentence),
    /**
     * @param {{ looks: Looks, hasDetails: boolean, ratio: string, isTrue: boolean, standing: string, about: string, wholeAt: number, locked: boolean,
     *   map: (side: number) => Element, canStep: (right: number, down: number) => boolean }} now
     */
    show(now) {
      ({ looks } = now);
      for (const { name, press } of switches) press.setAttribute('aria-pressed', String(looks[name]));
      for (const { name, press } of switches) press.hidden = name === 'details' && !now.hasDetails;
      grey.setAttribute('aria-pressed', String(looks.tone === 'grey'));
      setText(standing, now.standing);
      setText(about, now.about);
      size.fill([['', RATIOS.map(([value, name, share]) => [value, `${name}${share <= now.wholeAt ? ', the whole canvas' : ''}`])]]);
      size.set(now.ratio);
      size.select.disabled = !now.isTrue;
      setText(lockPress, now.locked ? 'Let fingers enlarge' : 'Lock the size');
      for (const { right, down, press } of arrows) press.setAttribute('aria-disabled', String(!now.canStep(right, down)));
      moving.hidden = ![[1, 0], [-1, 0], [0, 1], [0, -1]].some(([right = 0, down = 0]) => now.canStep(right, down));
      if (!element.hidden) mapPlace.replaceChildren(now.map(MAP));
    },
  };
}
