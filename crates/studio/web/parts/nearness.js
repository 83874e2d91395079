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
/** A trackpad's pinch comes as a wheel with Ctrl in steps of a few units, no more than so many of which count at once: a mouse may send 100. */
const PER_PINCH_UNIT = 0.01;
const MOST_UNITS = 25;
/** No nearer than this: a millimetre of a canvas 1 m high is then some ten pixels of the screen wide, and the photo has no more to show. */
const NEAREST = 12;
/** What is seen is told once nothing has moved for so long, in ms. */
const AT_REST = 700;
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
  /** As far as there is anything to be looked at, in shares of the whole: left, top, right, bottom. */
  #reach = [0, 0, 1, 1];
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #rest;

  /** @param {() => Xy | undefined} about what a press comes nearer to, in shares of the whole: what is in hand, if that is seen */
  constructor(about) {
    super();
    const nearer = button('nearer', () => this.come(PER_PRESS, about()), { name: 'Look nearer' });
    this.farther = button('farther', () => this.come(1 / PER_PRESS, about()), { name: 'Look from farther' });
    this.whole = button('whole', () => this.stepBack(), { name: 'See it whole' });
    this.nearer = nearer;
    this.told = h('span', { role: 'status', class: 'unseen' });
    this.rect = s('rect', { class: 'seen' });
    this.svg = s('svg', { 'aria-hidden': 'true' }, this.rect);
    this.map = h('div', {
      class: 'near-map', tabindex: '0', role: 'group', 'aria-label': 'What is seen of the whole. Arrow keys move it.', hidden: true,
      onpointerdown: (/** @type {PointerEvent} */ event) => {
        if (event.button !== 0 || !event.isPrimary) return;
        this.map.setPointerCapture(event.pointerId);
        this.#lookWhere(event);
      },
      onpointermove: (/** @type {PointerEvent} */ event) => {
        if (event.isPrimary && this.map.hasPointerCapture(event.pointerId)) this.#lookWhere(event);
      },
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        const steps = arrow(event);
        if (steps) this.look([0, 1].map((axis) => (this.middle[axis] ?? 0) + (steps[axis] ?? 0) * (this.#seen[axis] ?? 0) * PER_KEY));
      },
    }, this.svg);
    this.element = h('div', { class: 'nearness', role: 'group', 'aria-label': 'How near it is looked at' },
      this.map, h('div', { class: 'on-wall-row' }, nearer, this.farther, this.whole, this.told));
    this.#tell(false);
  }

  /** @param {WheelEvent} event @param {Xy} about what stays where it is, in shares of the whole */
  wheel({ deltaY, ctrlKey }, about) {
    const units = ctrlKey ? Math.min(Math.max(deltaY, -MOST_UNITS), MOST_UNITS) * PER_PINCH_UNIT : deltaY * PER_WHEEL_UNIT;
    this.come(Math.exp(-units), about);
  }

  /** Comes nearer, or goes farther by less than 1. @param {number} factor @param {Xy} [about] what stays where it is, in shares of the whole */
  come(factor, about = this.middle) {
    this.carry(about, about, factor);
  }

  /** Has what is seen at one place be seen at another, so many times as large. @param {Xy} from in shares of the whole @param {Xy} to the same @param {number} factor */
  carry(from, to, factor) {
    const hadFocus = this.#hasFocus;
    const times = Math.min(Math.max(this.times * factor, 1), NEAREST);
    const kept = this.times / times;
    this.times = times;
    this.look([0, 1].map((axis) => (from[axis] ?? 0) - ((to[axis] ?? 0) - (this.middle[axis] ?? 0)) * kept));
    this.#tell(hadFocus);
  }

  /** Whether what goes when all is seen has the focus. */
  get #hasFocus() {
    return [this.map, this.farther, this.whole].some((one) => one === document.activeElement);
  }

  /** Back to where all is seen. */
  stepBack() {
    const hadFocus = this.#hasFocus;
    this.times = 1;
    this.look([0.5, 0.5]);
    this.#tell(hadFocus);
  }

  /** Looks at another part. @param {number[]} middle in shares of the whole */
  look([x = 0.5, y = 0.5]) {
    const [left = 0, top = 0, right = 1, bottom = 1] = this.#reach;
    const within = (/** @type {number} */ share, /** @type {number} */ least, /** @type {number} */ most) => (this.times === 1 ? 0.5 : Math.min(Math.max(share, least), most));
    this.middle = [within(x, left, right), within(y, top, bottom)];
    this.dispatchEvent(new Event('change'));
  }

  /** Shows on the map what is seen. @param {Xy} size of the whole @param {Xy} seen of it @param {number[]} reach as far as anything lies: left, top, right, bottom, in shares of the whole */
  lay([width, height], [across, down], reach) {
    this.#reach = reach;
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

  /** @param {boolean} hadFocus whether something that may go now had the focus */
  #tell(hadFocus) {
    const isWhole = this.times === 1;
    this.farther.hidden = this.whole.hidden = isWhole;
    if (isWhole && hadFocus) this.nearer.focus();
    this.nearer.setAttribute('aria-disabled', String(this.times === NEAREST));
    clearTimeout(this.#rest);
    this.#rest = setTimeout(() => setText(this.told, isWhole ? (this.told.textContent ? 'All is seen' : '') : `${this.times.toFixed(1)} times as large as the whole`), AT_REST);
  }
}
