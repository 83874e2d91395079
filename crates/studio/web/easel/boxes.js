// Which part of the canvas is seen, along one of its sides: it moves by whole grid boxes, or by equal parts of a box
// where a box is larger than the screen.

/** @import { View } from '../api.js' */

/** The least that is seen beyond a grid line at the screen's edge, in mm of the screen: room for the points of dividers. */
const BESIDE = 3;
/** Positions nearer than this are the same, in mm. */
const SAME = 0.01;

/**
 * Where the window may begin along one side.
 * @typedef {object} Axis
 * @property {number[]} begins in mm of the canvas as shown
 * @property {number} room how much is seen, in mm of the canvas
 * @property {number} parts steps to a box
 */

/**
 * The grid's columns and rows as distances from the canvas's left and top in mm, by its marks; on a canvas out of square
 * by the middle of the marks on opposite sides.
 * @param {View} view
 * @returns {{ columns: number[], rows: number[] }}
 */
export function edgesOf({ canvas: { outline, sides } }) {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
  /** @param {'top' | 'left'} first @param {'bottom' | 'right'} second @param {0 | 1} at */
  const between = (first, second, at) => {
    const marks = (/** @type {string} */ name) => sides.find(({ side }) => side === name)?.marks ?? [];
    const other = marks(second);
    return marks(first).map((mark, index) => (mark.at[at] + (other[index] ?? mark).at[at]) / 2);
  };
  return {
    columns: whole(between('top', 'bottom', 0), Math.min(...xs), Math.max(...xs)),
    rows: whole(between('left', 'right', 1), Math.min(...ys), Math.max(...ys)),
  };
}

/** The edges with both ends, in order, none twice. @param {number[]} marks @param {number} start @param {number} end */
function whole(marks, start, end) {
  const inside = marks.filter((at) => at > start + SAME && at < end - SAME).sort((a, b) => a - b);
  return [start, ...inside, end];
}

/** The edges of a side that is seen the other way round. @param {number[]} edges */
export const turned = (edges) => {
  const sum = (edges[0] ?? 0) + (edges.at(-1) ?? 0);
  return edges.map((edge) => sum - edge).reverse();
};

/**
 * @param {number[]} edges
 * @param {number} room how much the screen shows, in mm of the canvas
 * @param {number} ratio of lengths on the screen to those on the canvas
 * @returns {Axis}
 */
export function axis(edges, room, ratio) {
  const beside = Math.min(BESIDE / ratio, room / 8);
  const [start, end] = [edges[0] ?? 0, edges.at(-1) ?? 0];
  if (end - start <= room) return { begins: [(start + end - room) / 2], room, parts: 1 };
  const widest = Math.max(...edges.slice(1).map((edge, at) => edge - (edges[at] ?? edge)));
  const parts = Math.ceil(widest / (room - 2 * beside) - SAME);
  const fine = edges.slice(0, -1).flatMap((edge, at) =>
    Array.from({ length: parts }, (_, part) => edge + (((edges[at + 1] ?? edge) - edge) * part) / parts));
  const last = fine.findIndex((edge) => edge - beside + room >= end);
  return { begins: fine.slice(0, last + 1).map((edge) => edge - beside), room, parts };
}

/** The first and last box that is seen whole, or mostly. @param {number[]} edges @param {number} from @param {number} to @returns {[number, number]} */
export function seen(edges, from, to) {
  const inside = edges.slice(0, -1).flatMap((edge, at) => {
    const middle = (edge + (edges[at + 1] ?? edge)) / 2;
    return middle > from && middle < to ? [at] : [];
  });
  if (inside.length) return [inside[0] ?? 0, inside.at(-1) ?? 0];
  const middle = (from + to) / 2;
  const at = Math.max(edges.findIndex((edge) => edge > middle) - 1, 0);
  return [at, at];
}

/** A box's name: the column's letter and the row's number, `B3`; after Z comes AA. @param {number} column @param {number} row */
export function boxName(column, row) {
  let letters = '';
  for (let rest = column; rest >= 0; rest = Math.floor(rest / 26) - 1) letters = String.fromCharCode(65 + (rest % 26)) + letters;
  return `${letters}${row + 1}`;
}
