// The board: the canvas on this screen, as an SVG whose unit is the canvas millimetre. The window into it is set by the
// screen's measured density, so that a millimetre of the canvas is a millimetre of glass.

import { around, axis, boxName, edgesOf, headMiddle, nearestStep, nextStep, seen, turned } from './boxes.js';
import { boxNames, marksOf } from './marks.js';
import { s } from '../parts/dom.js';
import { lineLook, sidesOf, twinLines } from '../parts/lines.js';
import { Toned } from '../parts/toned.js';
import { toneText, usualTones } from '../parts/tones.js';

/** @import { LandmarkView, PaintingState, RectMm, Unit, Xy } from '../api.js' */
/** @import { Tones } from '../parts/tones.js' */
/** @import { Axis } from './boxes.js' */

/**
 * How the picture is looked at on this screen. `through` names the landmark that the plumb and level lines go through.
 * @typedef {Tones & { grid: boolean, details: boolean, landmarks: boolean, names: boolean, plumb: boolean, through: string, mirror: boolean, upside: boolean }} Looks
 */

/** How it is looked at until the painter says otherwise. @param {Unit} unit @returns {Looks} */
export const usualLooks = (unit) => ({ ...usualTones(unit), grid: true, details: true, landmarks: false, names: false, plumb: false, through: '', mirror: false, upside: false });
/** A landmark is meant by a touch within so many CSS pixels. */
const NEAR = 24;

/** In mm of the canvas as shown. @typedef {{ begin: number } | { middle: number } | null} Held */

export class Board {
  /** Where the window begins, in mm of the canvas as shown. @type {Xy} */
  #begin = [0, 0];
  /**
   * What the painter has made of it, for each side by itself: the step it begins at, or what it has in its middle; kept while the whole side is seen for
   * a moment. Null until she has moved it: then the head is in its middle.
   * @type {[Held, Held]}
   */
  #held = [null, null];
  /** @type {PaintingState | null} */
  #state = null;
  /** The grid's columns and rows in that state. @type {ReturnType<typeof edgesOf>} */
  #edges = { columns: [], rows: [] };
  /** @type {Looks} */
  #looks = usualLooks('inch');
  /** The spot whose value is told, on the canvas. @type {Xy | null} */
  #spot = null;
  #perMm = 1;
  #ratio = 1;
  /** @type {[Axis, Axis] | null} */
  #axes = null;

  constructor() {
    this.ground = s('g');
    this.image = s('image', { preserveAspectRatio: 'none' });
    this.tonedImage = s('image', { class: 'toned', preserveAspectRatio: 'none', hidden: true });
    this.picture = s('g', { 'clip-path': 'url(#canvas-clip)' }, this.image, this.tonedImage);
    this.lines = s('g');
    this.canvas = s('g', {}, this.ground, this.picture, this.lines);
    /** What lies over the picture and is not turned with it, for its words are to be read. */
    this.marks = s('g', { class: 'marks' });
    this.svg = s('svg', { class: 'board', 'aria-hidden': 'true', preserveAspectRatio: 'none' }, this.canvas, this.marks);
    this.toned = new Toned();
  }

  /**
   * @param {PaintingState} state
   * @param {Looks} looks
   * @param {number} perMm CSS pixels of this screen in a real millimetre
   * @param {number} ratio of lengths on the screen to those on the canvas
   * @param {Xy | null} spot whose value is told
   */
  show(state, looks, perMm, ratio, spot) {
    const before = this.#flips;
    if (state !== this.#state) {
      const former = this.#edges;
      this.#edges = edgesOf(state.view);
      // With another grid there are other steps: what is seen stays.
      if (JSON.stringify(former) !== JSON.stringify(this.#edges)) this.#letGoOfSteps();
    }
    [this.#state, this.#looks, this.#perMm, this.#ratio, this.#spot] = [state, looks, perMm, ratio, spot];
    this.#turnWindow(before);
    this.#place();
    this.#draw(state);
  }

  /**
   * Moves the window by a step: from where something is in its middle to the next line of the grid.
   * @param {number} right @param {number} down each -1, 0 or 1
   * @returns {boolean} whether it moved
   */
  step(right, down) {
    if (!this.canStep(right, down)) return false;
    [right, down].forEach((by, side) => {
      const begin = by ? this.#nextStep(side, by) : null;
      if (begin !== null) this.#held[side] = { begin };
      // Moved one way, it stays where it is the other way too.
      else this.#held[side] ??= { middle: (this.#begin[side] ?? 0) + (this.#axes?.[side]?.room ?? 0) / 2 };
    });
    this.#place();
    return true;
  }

  /** @param {number} side @param {number} by */
  #nextStep(side, by) {
    const axis_ = this.#axes?.[side];
    return axis_ ? nextStep(axis_, this.#begin[side] ?? 0, by) : null;
  }

  /** Moves the window so that this place is in its middle, as far as there is canvas. @param {Xy} place on the canvas */
  bringIntoView(place) {
    const [x, y] = this.#asShown(place);
    this.#held = [{ middle: x }, { middle: y }];
  }

  /** Has in its middle what is there, where it began at a step and is not the whole side. */
  #letGoOfSteps() {
    this.#held = /** @type {[Held, Held]} */ (this.#held.map((held, side) => {
      const axis_ = this.#axes?.[side];
      return held && 'begin' in held && axis_ && axis_.least < axis_.most ? { middle: (this.#begin[side] ?? 0) + axis_.room / 2 } : held;
    }));
  }

  /** Where on the canvas a point of the screen lies, in mm. @param {{ clientX: number, clientY: number }} event @returns {Xy} */
  at({ clientX, clientY }) {
    const { left, top } = this.svg.getBoundingClientRect();
    const [x, y] = this.window;
    return this.#asShown([x + (clientX - left) * this.#px, y + (clientY - top) * this.#px]);
  }

  /** The landmark that is meant by a touch there, if one is. @param {{ clientX: number, clientY: number }} event @returns {LandmarkView | null} */
  landmarkAt(event) {
    const [x, y] = this.at(event);
    const away = (/** @type {LandmarkView} */ { at }) => Math.hypot(at[0] - x, at[1] - y) / this.#px;
    const [nearest_] = [...(this.#state?.view.likeness.landmarks ?? [])].sort((a, b) => away(a) - away(b));
    return nearest_ && away(nearest_) < NEAR ? nearest_ : null;
  }

  /** The middle of what is seen, on the canvas. @returns {Xy} */
  get middle() {
    const [left, top, width, height] = this.window;
    return this.#asShown([left + width / 2, top + height / 2]);
  }

  /** How far right and down a step on the screen goes on the canvas. @param {Xy} step @returns {Xy} */
  turnedStep([right, down]) {
    const [x, y] = this.#flips;
    return [x ? -right : right, y ? -down : down];
  }

  /** Whether there is more canvas that way. @param {number} right @param {number} down */
  canStep(right, down) {
    return [right, down].every((by, side) => by === 0 || this.#nextStep(side, by) !== null);
  }

  /** The part of the canvas that is seen, in mm of the canvas as shown: left, top, width, height. @returns {RectMm} */
  get window() {
    const [across, down] = this.#axes ?? [];
    return [...this.#begin, across?.room ?? 1, down?.room ?? 1];
  }

  /** How many steps a grid box takes, the larger of both ways. */
  get parts() {
    return Math.max(...(this.#axes ?? []).map(({ parts }) => parts), 1);
  }

  /** The largest ratio at which the whole canvas is seen. */
  get wholeAt() {
    const { width, height } = this.svg.getBoundingClientRect();
    const [, , across, down] = this.#bounds();
    return Math.min(width / this.#perMm / across, height / this.#perMm / down);
  }

  /** The boxes that are seen, first and last as on the canvas: `A1 to C4`. */
  get boxes() {
    if (!this.#state) return '';
    const { columns, rows } = this.#edges;
    const [left, top, width, height] = this.window;
    const named = /** @type {(edges: number[], from: number, to: number, flip: boolean) => [number, number]} */ ((edges, from, to, flip) => {
      const [first, last] = seen(flip ? turned(edges) : edges, from, to);
      const count = edges.length - 2;
      return flip ? [count - last, count - first] : [first, last];
    });
    const across = named(columns, left, left + width, this.#flips[0]);
    const down = named(rows, top, top + height, this.#flips[1]);
    const [first, last] = [boxName(across[0], down[0]), boxName(across[1], down[1])];
    return first === last ? first : `${first} to ${last}`;
  }

  /** The canvas, small, with the part that is seen framed. @param {number} side of the map, in CSS pixels */
  map(side) {
    const [left, top, width, height] = this.#bounds();
    const px = Math.max(width, height) / side;
    const shown = this.window;
    const [x, y] = [Math.max(shown[0], left), Math.max(shown[1], top)];
    const [right, bottom] = [Math.min(shown[0] + shown[2], left + width), Math.min(shown[1] + shown[3], top + height)];
    return s('svg', { class: 'map', viewBox: `${left} ${top} ${width} ${height}`, width: width / px, height: height / px, 'aria-hidden': 'true' },
      s('g', { transform: this.#turn() },
        s('path', { class: 'ground', d: `M${this.#outline()}Z` }),
        s('path', { class: 'map-lines', d: (this.#state?.view.grid.lines ?? []).map(([ax, ay, bx, by]) => `M${ax} ${ay}L${bx} ${by}`).join('') })),
      s('rect', { class: 'map-window', x, y, width: right - x, height: bottom - y }));
  }

  /** One CSS pixel in mm of the canvas. */
  get #px() {
    return 1 / (this.#perMm * this.#ratio);
  }

  /** From the canvas to the canvas as shown, and back: both are the same. @param {Xy} at @returns {Xy} */
  #asShown([x, y]) {
    const [left, top, width, height] = this.#bounds();
    const [flipX, flipY] = this.#flips;
    return [flipX ? 2 * left + width - x : x, flipY ? 2 * top + height - y : y];
  }

  /** Whether left and right, and top and bottom, change places. @returns {[boolean, boolean]} */
  get #flips() {
    const { mirror, upside } = this.#looks;
    return [mirror !== upside, upside];
  }

  /** The canvas's bounds in mm: left, top, width, height. @returns {RectMm} */
  #bounds() {
    const corners = this.#state?.view.canvas.outline ?? [];
    const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
    const [left, top] = [Math.min(...xs), Math.min(...ys)];
    return [left, top, Math.max(...xs) - left, Math.max(...ys) - top];
  }

  /** The canvas as shown: turned about the middle of its bounds. */
  #turn() {
    const [left, top, width, height] = this.#bounds();
    const [x, y] = this.#flips;
    return `matrix(${x ? -1 : 1} 0 0 ${y ? -1 : 1} ${x ? 2 * left + width : 0} ${y ? 2 * top + height : 0})`;
  }

  #outline() {
    return (this.#state?.view.canvas.outline ?? []).map((corner) => corner.join(' ')).join('L');
  }

  /** Keeps the same part of the canvas in the window when it is turned the other way round. @param {[boolean, boolean]} before */
  #turnWindow(before) {
    const [left, top, width, height] = this.#bounds();
    const sums = [2 * left + width, 2 * top + height];
    this.#held = /** @type {[Held, Held]} */ (this.#held.map((held, side) => {
      if (!held || before[side] === this.#flips[side]) return held;
      const sum = sums[side] ?? 0;
      if ('middle' in held) return { middle: sum - held.middle };
      return { begin: sum - Math.max(held.begin, this.#begin[side] ?? 0) - (this.#axes?.[side]?.room ?? 0) };
    }));
  }

  /** Sets the window. */
  #place() {
    if (!this.#state) return;
    const { width, height } = this.svg.getBoundingClientRect();
    const { columns, rows } = this.#edges;
    const scale = this.#perMm * this.#ratio;
    const [x, y] = this.#flips;
    this.#axes = [
      axis(x ? turned(columns) : columns, width / scale, this.#ratio),
      axis(y ? turned(rows) : rows, height / scale, this.#ratio),
    ];
    const first = this.#asShown(this.#first());
    const hasHead = headMiddle(this.#state.view) !== null;
    this.#begin = /** @type {Xy} */ (this.#axes.map((axis_, side) => {
      const held = this.#held[side];
      if (held && 'begin' in held) return nearestStep(axis_, held.begin);
      const centred = around(axis_, held?.middle ?? first[side] ?? 0);
      return held || hasHead ? centred : nearestStep(axis_, centred);
    }));
    this.svg.setAttribute('viewBox', this.window.join(' '));
  }

  /** What is in the middle at first: that of the head, or the canvas's without one. @returns {Xy} */
  #first() {
    const [left, top, width, height] = this.#bounds();
    return (this.#state && headMiddle(this.#state.view)) ?? [left + width / 2, top + height / 2];
  }

  /** @param {PaintingState} state */
  #draw({ view, photo }) {
    const { reference, likeness } = view;
    const { grid, details, landmarks, names, plumb, through } = this.#looks;
    const outline = `M${this.#outline()}Z`;
    const look = lineLook(view, this.#px);
    this.canvas.setAttribute('transform', this.#turn());
    this.ground.replaceChildren(
      s('clipPath', { id: 'canvas-clip' }, s('path', { d: outline })),
      s('path', { class: 'primed', d: outline }));
    this.picture.toggleAttribute('hidden', !(photo && reference));
    if (photo && reference) {
      const [width, height] = reference.size;
      const laid = { width, height, transform: `matrix(${reference.matrix.join(' ')})` };
      lay(this.image, { ...laid, href: photo.easel });
      const tone = toneText(this.#looks);
      this.#drawTone(tone, photo.easel, tone === 'photo' ? null : this.toned.picture(photo, tone), laid);
    }
    const plumbLines = plumb ? likeness.landmarks.filter(({ name }) => name === through).flatMap((one) => [one.plumb, one.level]) : [];
    this.lines.replaceChildren(
      ...twinLines(grid ? view.grid.lines : [], look),
      ...(details ? view.details : []).flatMap((detail) => [
        ...twinLines(detail.grid.lines, { ...look, width: 1 }),
        ...twinLines(sidesOf(detail.rect), { ...look, width: Math.max(look.width, 1.5) }),
      ]),
      ...twinLines(plumbLines.filter((line) => line !== null), { px: this.#px, dash: '7 5' }));
    const shown = (/** @type {Xy} */ at) => this.#asShown(at);
    const { columns, rows } = this.#edges;
    this.marks.replaceChildren(
      ...(grid ? boxNames({ columns, rows, flips: this.#flips, window: this.window, px: this.#px }) : []),
      ...marksOf({ landmarks: landmarks ? likeness.landmarks : [], names, spot: this.#spot, window: this.window, shown, px: this.#px }));
  }

  /**
   * Shows the picture in its tone over the photo. Until a new one of the same tone is there, the former stays.
   * @param {string} tone @param {string} photo its address @param {string | null} address @param {Record<string, string | number>} laid
   */
  #drawTone(tone, photo, address, laid) {
    const what = `${photo} ${tone}`;
    lay(this.tonedImage, laid);
    if (address) lay(this.tonedImage, { href: address, 'data-of': what });
    this.tonedImage.toggleAttribute('hidden', tone === 'photo' || this.tonedImage.getAttribute('data-of') !== what);
  }
}

/** Sets attributes where they differ: set again, the same picture would be loaded again. @param {Element} image @param {Record<string, string | number>} attributes */
function lay(image, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (image.getAttribute(name) !== String(value)) image.setAttribute(name, String(value));
  }
}
