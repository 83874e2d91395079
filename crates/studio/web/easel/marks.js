// What is marked on the easel's picture: landmarks, with their names if wanted, and the spot whose value is told. Laid on the canvas as
// it is shown, so that words can be read however it is turned.

import { cross } from '../parts/lines.js';
import { s } from '../parts/dom.js';

/** @import { LandmarkView, Xy } from '../api.js' */

/** Height of a name, in CSS pixels. */
const TEXT = 15;
/** A letter's mean width as a share of its height (common practice, no source). */
const LETTER = 0.48;
/** Diameter of the spot whose value is told, in mm of the canvas: as the server has it. */
const SPOT = 3;
/** The spot's ring is at least so wide, in CSS pixels, to be seen under a finger's mark. */
const LEAST_RING = 14;

/**
 * @param {{ landmarks: LandmarkView[], names: boolean, spot: Xy | null, shown: (at: Xy) => Xy, px: number }} what `px` is one CSS pixel in mm
 * @returns {SVGElement[]}
 */
export function marksOf({ landmarks, names, spot, shown, px }) {
  const at = landmarks.map((one) => ({ name: one.name, at: shown(one.at) }));
  return [
    ...at.flatMap((one) => cross(one.at, px)),
    ...(names ? withRoom(at, px) : []).map(({ name, at: [x, y] }) =>
      s('text', { x: x + 9 * px, y: y - 5 * px, 'font-size': TEXT * px, class: 'over-picture' }, name)),
    ...(spot ? ring(shown(spot), px) : []),
  ];
}

/** Those whose names do not lie over another's. @param {{ name: string, at: Xy }[]} marks @param {number} px */
function withRoom(marks, px) {
  /** @type {typeof marks} */
  const placed = [];
  for (const mark of marks) {
    const width = (/** @type {string} */ name) => name.length * TEXT * LETTER * px;
    const crowded = placed.some((other) =>
      mark.at[0] < other.at[0] + width(other.name) && other.at[0] < mark.at[0] + width(mark.name) && Math.abs(mark.at[1] - other.at[1]) < TEXT * px);
    if (!crowded) placed.push(mark);
  }
  return placed;
}

/** @param {Xy} at @param {number} px */
function ring([cx, cy], px) {
  const r = Math.max(SPOT, LEAST_RING * px) / 2;
  return [
    s('circle', { cx, cy, r: r + px, class: 'line light', 'stroke-width': 1.5 }),
    s('circle', { cx, cy, r, class: 'line dark spot', 'stroke-width': 1.5 }),
  ];
}
