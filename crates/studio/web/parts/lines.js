// Lines that hold on any ground: a light one and a dark one side by side, drawn over the picture in canvas millimetres.

import { s } from './dom.js';

/** @import { LineMm, LineTone, RectMm, View, Xy } from '../api.js' */

/** How the painter has the grid's lines drawn. @param {View} view @param {number} px */
export const lineLook = ({ printing }, px) => ({ px, width: printing.line_strength, tone: printing.line_tone });

/**
 * @param {LineMm[]} lines
 * @param {{ px: number, width?: number, tone?: LineTone, dash?: string | null }} look `px` is one screen pixel in the
 *   drawing's unit, `width` in screen pixels
 * @returns {SVGElement[]}
 */
export function twinLines(lines, { px, width = 1, tone = 'both', dash = null }) {
  const shift = tone === 'both' ? (px * width) / 2 : 0;
  /** @type {(cls: string, by: number) => SVGElement} */
  const path = (cls, by) => s('path', {
    d: lines.map((line) => lineData(beside(line, by))).join(''),
    class: `line ${cls}`, 'stroke-width': width, 'stroke-dasharray': dash,
  });
  return [
    ...(tone === 'light' ? [] : [path('dark', shift)]),
    ...(tone === 'dark' ? [] : [path('light', -shift)]),
  ];
}

/** Half the breadth of a landmark's cross, in screen pixels. */
const ARM = 6;

/** The strokes of crosses. @param {Xy[]} points @param {number} px one screen pixel in the drawing's unit */
const arms = (points, px) => twinLines(
  points.flatMap(([x, y]) => /** @type {LineMm[]} */ ([[x - ARM * px, y, x + ARM * px, y], [x, y - ARM * px, x, y + ARM * px]])), { px, width: 1 });

/** A small cross on a point, that holds on any ground. @param {Xy} at @param {number} px one screen pixel in the drawing's unit */
export const cross = (at, px) => [...arms([at], px), s('circle', { cx: at[0], cy: at[1], r: 1.5 * px, class: 'mark-point' })];

/** One on each of these points, all of them in a few strokes: there may be thousands. @param {Xy[]} points @param {number} px */
export function crosses(points, px) {
  const dots = points.map(([x, y]) => `M${x} ${y}h0`).join('');
  return [
    ...arms(points, px),
    s('path', { d: dots, class: 'mark-dots', 'stroke-width': 4 }),
    s('path', { d: dots, class: 'mark-dots light', 'stroke-width': 2.4 }),
  ];
}

/** The four sides of a box as lines. @param {RectMm} rect @returns {LineMm[]} */
export function sidesOf([left, top, width, height]) {
  const [right, bottom] = [left + width, top + height];
  return [[left, top, right, top], [right, top, right, bottom], [right, bottom, left, bottom], [left, bottom, left, top]];
}

/** The sides of a closed shape as lines. @param {Xy[]} corners @returns {LineMm[]} */
export const closed = (corners) => corners.map((from, index) => {
  const to = corners[(index + 1) % corners.length] ?? from;
  return /** @type {LineMm} */ ([from[0], from[1], to[0], to[1]]);
});

/** @param {LineMm} line */
const lineData = ([ax, ay, bx, by]) => `M${ax} ${ay}L${bx} ${by}`;

/** The same line moved sideways. @param {LineMm} line @param {number} shift @returns {LineMm} */
function beside([ax, ay, bx, by], shift) {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const [dx, dy] = [(-(by - ay) / length) * shift, ((bx - ax) / length) * shift];
  return [ax + dx, ay + dy, bx + dx, by + dy];
}
