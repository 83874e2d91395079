// Which part of the canvas is seen, along one of its sides: it moves by whole grid boxes, or by equal parts of a box
// where a box is larger than the screen; or it has something in its middle.

/** @import { View, Xy } from '../api.js' */

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
 * @property {number} least where it begins at the side's start
 * @property {number} most where it begins to end at the side's end
 */

/** The middle between crown and chin on the canvas; null without a head. @param {View} view @returns {Xy | null} */
export function headMiddle({ reference }) {
  const head = reference?.head;
  return head ? [(head.crown[0] + head.chin[0]) / 2, (head.crown[1] + head.chin[1]) / 2] : null;
}

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
  if (end - start <= room) {
    const begin = (start + end - room) / 2;
    return { begins: [begin], room, parts: 1, least: begin, most: begin };
  }
  const widest = Math.max(...edges.slice(1).map((edge, at) => edge - (edges[at] ?? edge)));
  const parts = Math.ceil(widest / (room - 2 * beside) - SAME);
  const fine = edges.slice(0, -1).flatMap((edge, at) =>
    Array.from({ length: parts }, (_, part) => edge + (((edges[at + 1] ?? edge) - edge) * part) / parts));
  const last = fine.findIndex((edge) => edge - beside + room >= end);
  return { begins: fine.slice(0, last + 1).map((edge) => edge - beside), room, parts, least: start - beside, most: end + beside - room };
}

/** Where the window begins that has this place in its middle, as far as there is canvas. @param {Axis} axis @param {number} middle */
export const around = ({ room, least, most }, middle) => Math.max(Math.min(middle - room / 2, most), least);

/** Where the next step that way begins; null if there is none. @param {Axis} axis @param {number} begin @param {number} by 1 or -1 */
export function nextStep({ begins }, begin, by) {
  const beyond = begins.filter((at) => (at - begin) * by > SAME);
  return (by > 0 ? beyond[0] : beyond.at(-1)) ?? null;
}

/** The nearest step. @param {Axis} axis @param {number} begin */
export const nearestStep = ({ begins }, begin) =>
  begins.reduce((best, at) => (Math.abs(at - begin) < Math.abs(best - begin) ? at : best), begins[0] ?? 0);

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

/** A box's name: the column's letter and the row's number, `B3`. @param {number} column @param {number} row */
export const boxName = (column, row) => columnName(column) + rowName(row);

/** After Z comes AA. @param {number} column */
export function columnName(column) {
  let letters = '';
  for (let rest = column; rest >= 0; rest = Math.floor(rest / 26) - 1) letters = String.fromCharCode(65 + (rest % 26)) + letters;
  return letters;
}

/** @param {number} row */
export const rowName = (row) => String(row + 1);
