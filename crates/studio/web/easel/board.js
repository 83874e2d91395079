// The board: the canvas on this screen, as an SVG whose unit is the canvas millimetre. The window into it is set by the
// screen's measured density, so that a millimetre of the canvas is a millimetre of glass.

import { boxName, axis, edgesOf, seen, turned } from './boxes.js';
import { sidesOf, twinLines } from '../parts/lines.js';
import { s } from '../parts/dom.js';

/** @import { PaintingState, RectMm, Xy } from '../api.js' */
/** @import { Axis } from './boxes.js' */

/**
 * How the picture is looked at on this screen. `tone` is how its colours are shown.
 * @typedef {{ grid: boolean, details: boolean, mirror: boolean, upside: boolean, tone: Tone }} Looks
 * @typedef {'photo' | 'grey'} Tone
 */

/** Weights of linear red, green and blue in luminance (IEC 61966-2-1). */
const LUMINANCE = '0.2126 0.7152 0.0722 0 0';
/** How a tone is drawn: by the filter of that id. @type {Record<Tone, string | null>} */
const FILTERS = { photo: null, grey: 'url(#grey)' };

export class Board {
  /** Which step of each axis the window begins at. @type {Xy} */
  #at = [0, 0];
  /** Where the window would begin, in mm of the canvas as shown: kept while the whole canvas is seen for a moment. @type {Xy} */
  #wanted = [-Infinity, -Infinity];
  /** @type {PaintingState | null} */
  #state = null;
  /** @type {Looks} */
  #looks = { grid: true, details: true, mirror: false, upside: false, tone: 'photo' };
  #perMm = 1;
  #ratio = 1;
  /** @type {[Axis, Axis] | null} */
  #axes = null;

  constructor() {
    this.ground = s('g');
    this.image = s('image', { preserveAspectRatio: 'none' });
    this.picture = s('g', { 'clip-path': 'url(#canvas-clip)' }, this.image);
    this.lines = s('g');
    this.canvas = s('g', {}, this.ground, this.picture, this.lines);
    this.svg = s('svg', { class: 'board', 'aria-hidden': 'true', preserveAspectRatio: 'none' },
      s('filter', { id: 'grey', x: 0, y: 0, width: 1, height: 1, 'color-interpolation-filters': 'linearRGB' },
        s('feColorMatrix', { type: 'matrix', values: `${LUMINANCE} ${LUMINANCE} ${LUMINANCE} 0 0 0 1 0` })),
      this.canvas);
  }

  /**
   * @param {PaintingState} state
   * @param {Looks} looks
   * @param {number} perMm CSS pixels of this screen in a real millimetre
   * @param {number} ratio of lengths on the screen to those on the canvas
   */
  show(state, looks, perMm, ratio) {
    const before = this.#flips;
    [this.#state, this.#looks, this.#perMm, this.#ratio] = [state, looks, perMm, ratio];
    this.#turnWindow(before);
    this.#place();
    this.#draw(state);
  }

  /** Moves the window by so many steps. @param {number} right @param {number} down @returns {boolean} whether it moved */
  step(right, down) {
    if (!this.canStep(right, down)) return false;
    this.#wanted = /** @type {Xy} */ ([right, down].map((by, side) =>
      (by ? this.#axes?.[side]?.begins[(this.#at[side] ?? 0) + by] : this.#wanted[side]) ?? 0));
    this.#place();
    return true;
  }

  /** Whether there is more canvas that way. @param {number} right @param {number} down */
  canStep(right, down) {
    if (!this.#axes) return false;
    return [right, down].every((by, side) => {
      const to = (this.#at[side] ?? 0) + by;
      return by === 0 || (to >= 0 && to < (this.#axes?.[side]?.begins.length ?? 0));
    });
  }

  /** The part of the canvas that is seen, in mm of the canvas as shown: left, top, width, height. @returns {RectMm} */
  get window() {
    const [across, down] = this.#axes ?? [];
    return [across?.begins[this.#at[0]] ?? 0, down?.begins[this.#at[1]] ?? 0, across?.room ?? 1, down?.room ?? 1];
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
    const { columns, rows } = edgesOf(this.#state.view);
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
    const room = this.window.slice(2);
    this.#wanted = /** @type {Xy} */ (this.#wanted.map((wanted, side) =>
      (before[side] === this.#flips[side] ? wanted : (sums[side] ?? 0) - Math.max(wanted, this.window[side] ?? 0) - (room[side] ?? 0))));
  }

  /** Sets the window, on the step nearest to where it would begin. */
  #place() {
    if (!this.#state) return;
    const { width, height } = this.svg.getBoundingClientRect();
    const { columns, rows } = edgesOf(this.#state.view);
    const scale = this.#perMm * this.#ratio;
    const [x, y] = this.#flips;
    this.#axes = [
      axis(x ? turned(columns) : columns, width / scale, this.#ratio),
      axis(y ? turned(rows) : rows, height / scale, this.#ratio),
    ];
    this.#at = /** @type {Xy} */ (this.#axes.map(({ begins }, side) => nearest(begins, this.#wanted[side] ?? 0)));
    this.svg.setAttribute('viewBox', this.window.join(' '));
  }

  /** @param {PaintingState} state */
  #draw({ view, photo }) {
    const { reference } = view;
    const { grid, details, tone } = this.#looks;
    const outline = `M${this.#outline()}Z`;
    const look = { px: 1 / (this.#perMm * this.#ratio) };
    this.canvas.setAttribute('transform', this.#turn());
    this.ground.replaceChildren(
      s('clipPath', { id: 'canvas-clip' }, s('path', { d: outline })),
      s('path', { class: 'primed', d: outline }));
    this.picture.toggleAttribute('hidden', !(photo && reference));
    if (photo && reference) {
      const [width, height] = reference.size;
      const matrix = `matrix(${reference.matrix.join(' ')})`;
      for (const [name, value] of Object.entries({ href: photo.easel, width, height, transform: matrix })) {
        // Set again, the same picture would be loaded again.
        if (this.image.getAttribute(name) !== String(value)) this.image.setAttribute(name, String(value));
      }
    }
    const filter = FILTERS[tone];
    if (filter) this.picture.setAttribute('filter', filter);
    else this.picture.removeAttribute('filter');
    this.lines.replaceChildren(
      ...twinLines(grid ? view.grid.lines : [], look),
      ...(details ? view.details : []).flatMap((detail) => [
        ...twinLines(detail.grid.lines, look),
        ...twinLines(sidesOf(detail.rect), { ...look, width: 1.5 }),
      ]));
  }
}

/** Which of these lies nearest; the first, if none is nearer. @param {number[]} places @param {number} to */
const nearest = (places, to) => places.reduce((best, place, at) => (Math.abs(place - to) < Math.abs((places[best] ?? 0) - to) ? at : best), 0);
