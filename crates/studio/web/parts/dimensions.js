// Dimension lines over the picture, as on a drawing: a line between two ends, and the length beside it.

import { s } from './dom.js';
import { twinLines } from './lines.js';

/** @import { Xy } from '../api.js' */

/**
 * A measurement as SVG text, its fraction set as a fraction.
 * @param {string} text
 * @returns {SVGElement[]}
 */
export function svgMeasure(text) {
  return text.replace(' x ', ' × ').replace(/^-/, '−').split(/(\d+\/\d+)/).filter(Boolean).map((part) =>
    s('tspan', { class: part.includes('/') ? 'fraction' : null }, part.replace(/(\d) $/, '$1\u2009')));
}

/**
 * @param {Xy} from
 * @param {Xy} to
 * @param {string} text
 * @param {number} px one screen pixel in the drawing's unit
 * @returns {SVGElement[]}
 */
export function dimension([ax, ay], [bx, by], text, px) {
  const upright = Math.abs(bx - ax) < Math.abs(by - ay);
  const end = 5 * px;
  /** @type {import('../api.js').LineMm[]} */
  const lines = [
    [ax, ay, bx, by],
    upright ? [ax - end, ay, ax + end, ay] : [ax, ay - end, ax, ay + end],
    upright ? [bx - end, by, bx + end, by] : [bx, by - end, bx, by + end],
  ];
  const middle = [(ax + bx) / 2, (ay + by) / 2];
  return [
    ...twinLines(lines, { px }),
    s('text', {
      x: (middle[0] ?? 0) + (upright ? 8 * px : 0),
      y: (middle[1] ?? 0) + (upright ? 5 * px : -7 * px),
      'text-anchor': upright ? 'start' : 'middle',
      'font-size': 18 * px,
      class: 'over-picture',
    }, ...svgMeasure(text)),
  ];
}
