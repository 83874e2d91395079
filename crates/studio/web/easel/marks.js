// What is marked on the easel's picture: landmarks, with their names if wanted, the spot whose value is told, and the boxes' letters and numbers. Laid on the canvas as
// it is shown, so that words can be read however it is turned.

import { columnName, rowName, turned } from './boxes.js';
import { cross } from '../parts/lines.js';
import { s } from '../parts/dom.js';

/** @import { LandmarkView, RectMm, Xy } from '../api.js' */

/** Height of a name, in CSS pixels. */
const TEXT = 15;
/** A letter's mean width as a share of its height (common practice, no source). */
const LETTER = 0.48;
/** From a mark to its name, in CSS pixels. */
const ASIDE = 9;
/** A box of which less is seen goes without a name, in CSS pixels: room for it and some air. */
const LEAST_NAMED = 2.5 * TEXT;
/** Diameter of the spot whose value is told, in mm of the canvas: as the server has it. */
const SPOT = 3;
/** The spot's ring is at least so wide, in CSS pixels, to be seen under a finger's mark. */
const LEAST_RING = 14;

/**
 * @param {{ landmarks: LandmarkView[], names: boolean, spot: Xy | null, window: RectMm, shown: (at: Xy) => Xy, px: number }} what `px` is one CSS pixel in mm
 * @returns {SVGElement[]}
 */
export function marksOf({ landmarks, names, spot, window, shown, px }) {
  const at = landmarks.map((one) => ({ name: one.name, at: shown(one.at) }));
  return [
    ...at.flatMap((one) => cross(one.at, px)),
    ...(names ? withRoom(at.filter((mark) => isSeen(mark.at, window)).map((mark) => laid(mark, window, px)), px) : []).map(({ name, left, base }) =>
      s('text', { x: left, y: base, 'font-size': TEXT * px, class: 'over-picture' }, name)),
    ...(spot ? ring(shown(spot), px) : []),
  ];
}

/** @param {Xy} at @param {RectMm} window */
const isSeen = ([x, y], [left, top, width, height]) => x >= left && x <= left + width && y >= top && y <= top + height;

/** A name where it stands: at the right of its mark, or at the left where the glass ends. @typedef {{ name: string, left: number, width: number, base: number }} Laid */

/** @param {{ name: string, at: Xy }} mark @param {RectMm} window @param {number} px @returns {Laid} */
function laid({ name, at: [x, y] }, [left, , across], px) {
  const width = name.length * TEXT * LETTER * px;
  const isBeyond = x + ASIDE * px + width > left + across;
  return { name, width, left: isBeyond ? x - ASIDE * px - width : x + ASIDE * px, base: y - 5 * px };
}

/** Those whose names do not lie over another's. @param {Laid[]} names @param {number} px */
function withRoom(names, px) {
  /** @type {Laid[]} */
  const placed = [];
  for (const name of names) {
    const crowded = placed.some((other) =>
      name.left < other.left + other.width && other.left < name.left + name.width && Math.abs(name.base - other.base) < TEXT * px);
    if (!crowded) placed.push(name);
  }
  return placed;
}

/**
 * The columns' letters along the glass's upper edge and the rows' numbers along its left, each at the middle of what is seen of them.
 * @param {{ columns: number[], rows: number[], flips: [boolean, boolean], window: RectMm, px: number }} what the edges on the canvas
 * @returns {SVGElement[]}
 */
export function boxNames({ columns, rows, flips: [flipX, flipY], window: [left, top, width, height], px }) {
  /** @param {number[]} edges @param {boolean} flip @param {number} from @param {number} to @returns {[number, number][]} */
  const middles = (edges, flip, from, to) => {
    const shown = flip ? turned(edges) : edges;
    return shown.slice(0, -1).flatMap((edge, at) => {
      const [first, last] = [Math.max(edge, from), Math.min(shown[at + 1] ?? edge, to)];
      return last - first > LEAST_NAMED * px ? [[flip ? shown.length - 2 - at : at, (first + last) / 2]] : [];
    });
  };
  const named = (/** @type {string} */ name, /** @type {number} */ x, /** @type {number} */ y) =>
    s('text', { x, y, 'font-size': TEXT * px, 'text-anchor': 'middle', class: 'over-picture box-name' }, name);
  return [
    ...middles(columns, flipX, left, left + width).map(([column, x]) => named(columnName(column), x, top + 1.1 * TEXT * px)),
    ...middles(rows, flipY, top, top + height).map(([row, y]) => named(rowName(row), left + 0.7 * TEXT * px, y + TEXT * px / 3)),
  ];
}

/** @param {Xy} at @param {number} px */
function ring([cx, cy], px) {
  const r = Math.max(SPOT, LEAST_RING * px) / 2;
  return [
    s('circle', { cx, cy, r: r + px, class: 'line light', 'stroke-width': 1.5 }),
    s('circle', { cx, cy, r, class: 'line dark spot', 'stroke-width': 1.5 }),
  ];
}
