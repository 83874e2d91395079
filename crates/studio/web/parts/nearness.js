// How near the wall is looked at: whole, or so many times as large, and where. Buttons and the wheel come nearer; a small map of the
// whole shows what is seen of it, and moves it by a finger or by arrow keys.

import { arrow } from './handles.js';
import { button } from './controls.js';
import { h, s, setText } from './dom.js';

/** @import { Xy } from '../api.js' */

/** One press comes nearer by so much. */
const PER_PRESS = 1.5;
/** A wheel's notch is about 100 units: a fifth nearer. */
const PER_WHEEL_UNIT = 0.002;
/** No nearer than this: a millimetre of a canvas 1 m high is then as wide as a finger on a tablet. */
const NEAREST = 12;
/** The map's longer side, in screen pixels, and how far an arrow key moves what is seen, as a share of it. */
const MAP = 88;
const PER_KEY = 0.25;

export class Nearness extends EventTarget {
  /** How many times as large as when all is seen. */
  times = 1;
  /** What is seen in the middle, in shares of the whole. @type {Xy} */
  middle = [0.5, 0.5];
  /** How much is seen, in shares of the whole. @type {Xy} */
  #seen = [1, 1];

  constructor() {
    super();
    const nearer = button('nearer', () => this.come(PER_PRESS), { name: 'Look nearer' });
    this.farther = button('farther', () => this.come(1 / PER_PRESS), { name: 'Look from farther' });
    this.whole = button('whole', () => this.stepBack(), { name: 'See it whole' });
    this.nearer = nearer;
    this.told = h('span', { role: 'status', class: 'unseen' });
    this.rect = s('rect', { class: 'seen' });
    this.svg = s('svg', { 'aria-hidden': 'true' }, this.rect);
    this.map = h('div', {
      class: 'near-map', tabindex: '0', role: 'group', 'aria-label': 'What is seen of the whole. Arrow keys move it.', hidden: true,
      onpointerdown: (/** @type {PointerEvent} */ event) => {
        this.map.setPointerCapture(event.pointerId);
        this.#lookWhere(event);
      },
      onpointermove: (/** @type {PointerEvent} */ event) => {
        if (this.map.hasPointerCapture(event.pointerId)) this.#lookWhere(event);
      },
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        const steps = arrow(event);
        if (steps) this.look([0, 1].map((axis) => (this.middle[axis] ?? 0) + (steps[axis] ?? 0) * (this.#seen[axis] ?? 0) * PER_KEY));
      },
    }, this.svg);
    this.element = h('div', { class: 'nearness', role: 'group', 'aria-label': 'How near it is looked at' },
      this.map, h('div', { class: 'on-wall-row' }, nearer, this.farther, this.whole, this.told));
    this.#tell();
  }

  /** @param {WheelEvent} event @param {Xy} about what stays where it is, in shares of the whole */
  wheel({ deltaY }, about) {
    this.come(Math.exp(-deltaY * PER_WHEEL_UNIT), about);
  }

  /** Comes nearer, or goes farther by less than 1. @param {number} factor @param {Xy} [about] what stays where it is, in shares of the whole */
  come(factor, about = this.middle) {
    const times = Math.min(Math.max(this.times * factor, 1), NEAREST);
    const kept = this.times / times;
    this.times = times;
    this.look([0, 1].map((axis) => (about[axis] ?? 0) + ((this.middle[axis] ?? 0) - (about[axis] ?? 0)) * kept));
    this.#tell();
  }

  /** Back to where all is seen. */
  stepBack() {
    const hadFocus = this.element.contains(document.activeElement);
    this.times = 1;
    this.look([0.5, 0.5]);
    this.#tell();
    if (hadFocus) this.nearer.focus();
  }

  /** Looks at another part. @param {number[]} middle in shares of the whole */
  look([x = 0.5, y = 0.5]) {
    const within = (/** @type {number} */ share) => (this.times === 1 ? 0.5 : Math.min(Math.max(share, 0), 1));
    this.middle = [within(x), within(y)];
    this.dispatchEvent(new Event('change'));
  }

  /** Shows on the map what is seen. @param {Xy} size of the whole @param {Xy} seen of it */
  lay([width, height], [across, down]) {
    this.#seen = [across / width, down / height];
    this.map.hidden = this.times === 1;
    if (this.map.hidden) return;
    const scale = MAP / Math.max(width, height);
    const box = [width * scale, height * scale];
    for (const [name, value] of Object.entries({ width: box[0], height: box[1] })) this.svg.setAttribute(name, `${value}`);
    const [left, top] = [0, 1].map((axis) => ((this.middle[axis] ?? 0) - (this.#seen[axis] ?? 0) / 2) * (box[axis] ?? 0));
    const [wide, high] = [0, 1].map((axis) => (this.#seen[axis] ?? 0) * (box[axis] ?? 0));
    for (const [name, value] of Object.entries({ x: left, y: top, width: wide, height: high })) this.rect.setAttribute(name, `${value}`);
  }

  /** @param {PointerEvent} event */
  #lookWhere({ clientX, clientY }) {
    const { left, top, width, height } = this.svg.getBoundingClientRect();
    this.look([(clientX - left) / width, (clientY - top) / height]);
  }

  #tell() {
    const isWhole = this.times === 1;
    const hadFocus = [this.farther, this.whole].some((one) => one === document.activeElement);
    this.farther.hidden = this.whole.hidden = isWhole;
    if (isWhole && hadFocus) this.nearer.focus();
    this.nearer.setAttribute('aria-disabled', String(this.times === NEAREST));
    setText(this.told, isWhole ? '' : `${this.times.toFixed(1)} times as large as the whole`);
  }
}
