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
 * @param {number} [share] where along the line the length stands
 * @returns {SVGElement[]}
 */
export function dimension([ax, ay], [bx, by], text, px, share = 0.5) {
  const upright = Math.abs(bx - ax) < Math.abs(by - ay);
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const [across, down] = [(-(by - ay) / length) * 5 * px, ((bx - ax) / length) * 5 * px];
  /** @type {import('../api.js').LineMm[]} */
  const lines = [
    [ax, ay, bx, by],
    [ax - across, ay - down, ax + across, ay + down],
    [bx - across, by - down, bx + across, by + down],
  ];
  const at = [ax + (bx - ax) * share, ay + (by - ay) * share];
  return [
    ...twinLines(lines, { px }),
    s('text', {
      x: (at[0] ?? 0) + (upright ? 8 * px : 0),
      y: (at[1] ?? 0) + (upright ? 5 * px : -7 * px),
      'text-anchor': upright ? 'start' : 'middle',
      'font-size': 18 * px,
      class: 'over-picture',
    }, ...svgMeasure(text)),
  ];
}

/** Where the shortest way from a point to a side meets it. @param {Xy} point @param {Xy} from @param {Xy} to @returns {Xy} */
export function foot([x, y], from, to) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const along = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy);
  return [from[0] + along * dx, from[1] + along * dy];
}
