// The stage: the wall with the canvas on it, as an SVG whose unit is the canvas millimetre, or, while a photo is being
// squared up, the photo's own pixel. Knows where everything lies on the screen; what is drawn is drawn by picture.js,
// and what is taken hold of is told to the hand of the open step.

import { h, s } from './parts/dom.js';
import { Loupe } from './parts/loupe.js';
import { Nearness } from './parts/nearness.js';
import { drawCanvas, drawPhoto } from './picture.js';
import { Grasp } from './parts/grasp.js';
import { Toned } from './parts/toned.js';

/** @import { PhotoFacts, View, Xy } from './api.js' */
/** @import { Sight } from './sight.js' */

/**
 * What the open step does with pointers and keys on the wall. Points are in the stage's frame.
 * @typedef {object} Hand
 * @property {(event: PointerEvent, at: Xy) => void} [down]
 * @property {(event: PointerEvent, at: Xy) => void} [move]
 * @property {(event: PointerEvent, at: Xy) => void} [up]
 * @property {(event: PointerEvent, at: Xy) => void} [tap] the pointer came and went at one place; without `move`, a drag moves the wall
 * @property {() => void} [drop] what one finger began is given up, since a second has come to bring the wall nearer
 * @property {boolean} [hasTwoFingers] whether the hand itself does something with two fingers
 * @property {(event: WheelEvent, at: Xy) => boolean} [wheel] whether the hand did something with it; else the wall comes nearer
 * @property {(event: KeyboardEvent) => void} [key]
 * @property {() => void} [cancel] Escape, or a pointer that was taken away
 */

/** A picture shown by itself, in its own pixels. @typedef {{ href: string, size: Xy }} Laid */

/** Free wall around the canvas, in screen pixels: room for readings and for a finger beside the edge. */
const MARGIN = { wide: 60, narrow: 34 };
/** A point this near to the wall's edge, in screen pixels, is not seen well. */
const EDGE = 24;
/** A wall narrower than this has the narrow margin. */
const NARROW = 560;

/** @param {HTMLElement} wall @returns {Xy} */
const roomOf = (wall) => [wall.clientWidth, wall.clientHeight];

/** Fires 'drop' when what one finger holds is to be given up. */
export class Stage extends EventTarget {
  /** @type {'canvas' | 'photo' | Laid} */
  #frame = 'canvas';
  /** Width and height of what is shown, in the frame's unit. @type {Xy} */
  #size = [1, 1];
  /** What the SVG shows of the frame: left and top. @type {Xy} */
  #origin = [0, 0];
  #scale = 1;
  /** The wall's width and height in screen pixels. Kept, since to ask for them after something was changed makes the browser lay out the whole page. @type {Xy} */
  #room;
  /** @type {Hand} */
  #hand = {};
  /** @type {(() => void)[]} */
  #whenDrawn = [];
  #grasp = new Grasp((from, to, factor) => {
    this.nearness.carry(this.#share(this.toFrame(from)), this.#share(this.toFrame(to)), factor);
  });

  /**
   * @param {HTMLElement} wall
   * @param {Sight} sight
   */
  constructor(wall, sight) {
    super();
    this.wall = wall;
    this.sight = sight;
    /** @type {View | null} */
    this.view = null;
    /** @type {PhotoFacts | null} */
    this.photo = null;
    this.overlay = s('g', { class: 'overlay' });
    this.handles = h('div', { class: 'handles' });
    this.canvasLayers = s('g');
    this.photoLayers = s('g');
    /** The canvas as a photo of it shows it, over the canvas as it is planned. */
    this.checked = s('g', { class: 'checked' });
    this.scene = s('g', { id: 'scene' }, this.canvasLayers, this.checked, this.photoLayers);
    this.svg = s('svg', { class: 'stage', 'aria-hidden': 'true' }, this.scene, this.overlay);
    this.hung = h('div', { class: 'hung' });
    this.loupe = new Loupe();
    this.toned = new Toned();
    this.nearness = new Nearness(() => this.#inHand());
    this.nearness.addEventListener('change', () => this.draw());
    /** Takes the keys: what is held is moved by the arrows. */
    this.focus = h('div', { class: 'reach', tabindex: '-1', role: 'group', 'aria-label': 'The canvas on the wall' });
    this.wall.append(this.hung, this.svg, this.focus, this.handles, this.loupe.element, this.nearness.element);
    this.#listen();
    this.#room = roomOf(wall);
    new ResizeObserver(() => {
      this.#room = roomOf(wall);
      this.draw();
    }).observe(wall);
    sight.addEventListener('change', () => this.draw());
  }

  /** One screen pixel in the frame's unit. */
  get px() {
    return 1 / this.#scale;
  }

  /** Width and height of what is shown, in the frame's unit. */
  get size() {
    return this.#size;
  }

  /** @param {View} view @param {PhotoFacts | null} photo */
  show(view, photo) {
    this.view = view;
    this.photo = photo;
    this.draw();
  }

  /** The picture that is shown by itself; null while the canvas is shown. @returns {Laid | null} */
  get laid() {
    if (this.#frame === 'canvas') return null;
    if (this.#frame !== 'photo') return this.#frame;
    return this.photo && this.view?.reference ? { href: this.photo.original, size: this.view.reference.photo } : null;
  }

  /** Shows the canvas, the photo as it was brought in, or another picture by itself. @param {'canvas' | 'photo' | Laid} frame */
  turnTo(frame) {
    this.#frame = frame;
    // Another picture is looked at whole first; what is drawn is drawn with it.
    this.nearness.stepBack();
  }

  /** What the open step does with pointers and keys. @param {Hand} hand @param {string} [name] what the arrows move */
  give(hand, name = 'The canvas on the wall') {
    this.#hand = hand;
    this.focus.tabIndex = hand.key ? 0 : -1;
    this.focus.setAttribute('aria-label', name);
  }

  /** Calls back after every drawing, so that a step can lay its handles and lines. @param {() => void} drawn */
  whenDrawn(drawn) {
    this.#whenDrawn.push(drawn);
  }

  /** What shows points that can be held, and which of them is in hand. @type {Set<{ inHand: Xy | null }>} */
  holders = new Set();

  /** What is in hand and seen, in shares of what is shown. */
  #inHand() {
    const at = [...this.holders].map(({ inHand }) => inHand).find((one) => one && this.#isSeen(one));
    return at ? this.#share(at) : undefined;
  }

  /** @param {Xy} at */
  #isSeen(at) {
    const [left, top] = this.toWall(at);
    const [width, height] = this.#room;
    return left > EDGE && top > EDGE && left < width - EDGE && top < height - EDGE;
  }

  /** The part of the frame that is seen. @returns {import('./parts/dimensions.js').Box} */
  get seen() {
    const [width, height] = this.#room;
    return [this.#origin[0], this.#origin[1], width / this.#scale, height / this.#scale];
  }

  /** Has a point be seen, if what is looked at does not show it. @param {Xy} at */
  reveal(at) {
    // What a finger is moving stays under it.
    if (!this.#isSeen(at) && this.nearness.times > 1 && !this.#grasp.isHeld) this.nearness.look(this.#share(at));
  }

  /** A point in shares of what is shown. @param {Xy} at @returns {Xy} */
  #share([x, y]) {
    return [x / this.#size[0], y / this.#size[1]];
  }

  draw() {
    if (!this.view) return;
    this.#measure(this.view);
    const photoFrame = this.#frame !== 'canvas';
    this.canvasLayers.toggleAttribute('hidden', photoFrame);
    this.checked.toggleAttribute('hidden', photoFrame);
    this.photoLayers.toggleAttribute('hidden', !photoFrame);
    this.hung.hidden = photoFrame;
    this.wall.classList.toggle('near', this.nearness.times > 1);
    this.wall.classList.toggle('with-marks', this.sight.marks);
    this.wall.classList.toggle('with-beyond', this.sight.beyond);
    if (photoFrame) drawPhoto(this);
    else drawCanvas(this);
    for (const drawn of this.#whenDrawn) drawn();
  }

  /** @param {{ clientX: number, clientY: number }} event @returns {Xy} */
  toFrame({ clientX, clientY }) {
    const { left, top } = this.wall.getBoundingClientRect();
    return [this.#origin[0] + (clientX - left) / this.#scale, this.#origin[1] + (clientY - top) / this.#scale];
  }

  /** From the wall's top left corner, in screen pixels. @param {Xy} at @returns {Xy} */
  toWall([x, y]) {
    return [(x - this.#origin[0]) * this.#scale, (y - this.#origin[1]) * this.#scale];
  }

  /** Shows what lies at a point, four times as large. @param {Xy | null} at */
  look(at) {
    if (at) this.loupe.look(at, this.px, this.toWall(at), this.wall);
    else this.loupe.hide();
  }

  /** @param {View} view */
  #measure(view) {
    const [width, height] = this.#room;
    const corners = view.canvas.outline;
    this.#size = this.laid
      ? this.laid.size
      : [Math.max(corners[1][0], corners[2][0]), Math.max(corners[2][1], corners[3][1])];
    const margin = width < NARROW ? MARGIN.narrow : MARGIN.wide;
    const [across, down] = this.#size;
    const { times, middle } = this.nearness;
    this.#scale = times * Math.max(Math.min((width - 2 * margin) / across, (height - 2 * margin) / down), 0.01);
    const [wide, high] = [width / this.#scale, height / this.#scale];
    this.#origin = [middle[0] * across - wide / 2, middle[1] * down - high / 2];
    this.nearness.lay(this.#size, [wide, high], this.#reach(view));
    const box = `${this.#origin[0]} ${this.#origin[1]} ${wide} ${high}`;
    // Set again to what it is, it would have all of the picture laid out again.
    if (this.svg.getAttribute('viewBox') !== box) this.svg.setAttribute('viewBox', box);
    const [left, top] = this.toWall([0, 0]);
    for (const [name, value] of Object.entries({ left, top, width: across * this.#scale, height: down * this.#scale })) {
      this.hung.style.setProperty(name, `${value}px`);
    }
  }

  /** As far as anything lies that can be looked at, in shares of what is shown: left, top, right, bottom. @param {View} view */
  #reach({ reference }) {
    if (!reference || this.laid) return [0, 0, 1, 1];
    const { matrix: [a, b, c, d, e, f], size: [width, height] } = reference;
    const corners = [[0, 0], [width, 0], [0, height], [width, height]].map(([x = 0, y = 0]) => this.#share([a * x + c * y + e, b * x + d * y + f]));
    const [across, down] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
    return [Math.min(0, ...across), Math.min(0, ...down), Math.max(1, ...across), Math.max(1, ...down)];
  }

  #listen() {
    const { focus: area, wall } = this;
    const onWall = (/** @type {Event} */ { target }) => target instanceof Node && (target === area || this.handles.contains(target));
    const early = { capture: true };
    // Before what lies there: a second finger, wherever it comes down, takes the wall itself in hand.
    wall.addEventListener('pointerdown', (event) => {
      if (event.button !== 0 || !onWall(event) || this.#hand.hasTwoFingers) return;
      const counts = this.#grasp.down(event);
      if (counts && !this.#grasp.pinches) return;
      event.stopPropagation();
      if (counts) this.#dropHold();
    }, early);
    wall.addEventListener('pointermove', (event) => {
      this.#grasp.move(event, event.target === area && !this.#hand.move);
      if (this.#grasp.pinches) event.stopPropagation();
    }, early);
    for (const kind of ['pointerup', 'pointercancel', 'lostpointercapture']) {
      wall.addEventListener(kind, (event) => {
        if (!(event instanceof PointerEvent)) return;
        const hadTwo = this.#grasp.isHeld && this.#grasp.pinches;
        const hasTapped = this.#grasp.up(event);
        if (hadTwo) event.stopPropagation();
        else if (hasTapped && kind === 'pointerup' && event.target === area) this.#hand.tap?.(event, this.toFrame(event));
      }, early);
    }
    area.addEventListener('pointerdown', (event) => {
      if (event.button !== 0) return;
      area.setPointerCapture(event.pointerId);
      this.#hand.down?.(event, this.toFrame(event));
    });
    area.addEventListener('pointermove', (event) => this.#hand.move?.(event, this.toFrame(event)));
    area.addEventListener('pointerup', (event) => this.#hand.up?.(event, this.toFrame(event)));
    area.addEventListener('pointercancel', () => this.#hand.cancel?.());
    wall.addEventListener('wheel', (event) => {
      if (event.target instanceof Element && event.target.closest('.hung-sheet')) return;
      event.preventDefault();
      if (!this.#hand.wheel?.(event, this.toFrame(event))) this.nearness.wheel(event, this.#share(this.toFrame(event)));
    }, { passive: false });
    area.addEventListener('keydown', (event) => {
      if (event.key === 'Escape') this.#hand.cancel?.();
      else this.#hand.key?.(event);
    });
  }

  /** What one finger began is given up: a second has come. */
  #dropHold() {
    this.#hand.drop?.();
    this.dispatchEvent(new Event('drop'));
  }
}
