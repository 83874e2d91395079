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

/** The size of the figures in screen pixels, and the least of it on a small canvas; a figure is about so wide in its own size for each sign. */
const [TYPE, LEAST_TYPE, SIGN] = [18, 13, 0.5];
/** A browser's text where nobody changed it, in CSS pixels. */
const USUAL_TEXT = 16;

/** How much larger than usual the painter has the browser's text; asked for seldom, since it makes the browser lay out the page. */
let scale = 0;
addEventListener('resize', () => { scale = 0; });

/** By how much figures on the wall are larger than they are drawn, for who has the browser's text larger. */
export function textScale() {
  scale ||= parseFloat(getComputedStyle(document.documentElement).fontSize) / USUAL_TEXT;
  return scale;
}
/** A canvas narrower than so many times the figures' size has smaller ones. */
const ACROSS = 18;

/** @typedef {{ from: Xy, to: Xy, text: string, share?: number }} Dimension `share` is where along the line the length stands if it can */
/** A part of the drawing. @typedef {[left: number, top: number, width: number, height: number]} Box */
/** A figure's place: where it is anchored, and the box that it takes. @typedef {{ x: number, y: number, anchor: 'start' | 'middle' | 'end', box: [left: number, top: number, right: number, bottom: number] }} Place */

/**
 * Dimensions whose figures do not lie over each other as far as there is room, nor over the edge of what is seen.
 * @param {Dimension[]} all the first have the first choice of their places
 * @param {{ px: number, size: Xy, seen: Box }} stage one screen pixel, the size of the canvas and what is seen of it, in the drawing's unit
 * @returns {SVGElement[]}
 */
export function dimensions(all, { px, size: [width], seen }) {
  const type = Math.max(LEAST_TYPE, Math.min(TYPE, width / px / ACROSS)) * textScale() * px;
  /** @type {Place[]} */
  const taken = [];
  return all.flatMap((one) => {
    const part = seenOf(one, seen);
    if (!part) return [];
    const places = placesOf({ ...one, ...part }, px, type);
    const whole = places.filter(({ box }) => holds(seen, box));
    const free = whole.find(({ box }) => taken.every((other) => !meet(box, other.box))) ?? whole[0] ?? places[0];
    if (!free) return [];
    taken.push(free);
    return dimension(one, free, px, type);
  });
}

/**
 * The part of a line that is seen (Liang and Barsky, ACM Transactions on Graphics 3, 1984).
 * @param {{ from: Xy, to: Xy }} line @param {Box} seen @returns {{ from: Xy, to: Xy } | undefined}
 */
function seenOf({ from: [ax, ay], to: [bx, by] }, [left, top, width, height]) {
  let [begin, end] = [0, 1];
  /** @type {[start: number, way: number, least: number, most: number][]} */
  const axes = [[ax, bx - ax, left, left + width], [ay, by - ay, top, top + height]];
  for (const [start, way, least, most] of axes) {
    if (way === 0 && (start < least || start > most)) return undefined;
    const crossings = way === 0 ? [0, 1] : [(least - start) / way, (most - start) / way];
    begin = Math.max(begin, Math.min(...crossings));
    end = Math.min(end, Math.max(...crossings));
  }
  /** @param {number} share @returns {Xy} */
  const at = (share) => [ax + (bx - ax) * share, ay + (by - ay) * share];
  return begin <= end ? { from: at(begin), to: at(end) } : undefined;
}

/** Where a dimension's figure may stand, the best place first: right of an upright line or left of it, above a level one or below. @param {Dimension} one @param {number} px @param {number} type @returns {Place[]} */
function placesOf({ from: [ax, ay], to: [bx, by], text, share = 0.5 }, px, type) {
  const upright = Math.abs(bx - ax) < Math.abs(by - ay);
  const wide = text.length * SIGN * type;
  /** @type {('start' | 'end')[]} */
  const sides = ['start', 'end'];
  return sides.flatMap((side) => [share, 0.5, 0.25, 0.75, 0.1, 0.9].map((along) => {
    const [x, y] = [ax + (bx - ax) * along, ay + (by - ay) * along];
    /** @type {Place} */
    const place = upright
      ? { x: x + (side === 'start' ? 8 : -8) * px, y: y + 0.3 * type, anchor: side, box: [0, 0, 0, 0] }
      : { x, y: side === 'start' ? y - 7 * px : y + 0.8 * type + 7 * px, anchor: 'middle', box: [0, 0, 0, 0] };
    const left = place.x - { start: 0, middle: 0.5, end: 1 }[place.anchor] * wide;
    return { ...place, box: [left, place.y - type, left + wide, place.y + 0.3 * type] };
  }));
}

/** @param {Place['box']} one @param {Place['box']} other */
const meet = ([left, top, right, bottom], [otherLeft, otherTop, otherRight, otherBottom]) =>
  left < otherRight && otherLeft < right && top < otherBottom && otherTop < bottom;

/** @param {Box} seen @param {Place['box']} box */
const holds = ([x, y, width, height], [left, top, right, bottom]) => left >= x && top >= y && right <= x + width && bottom <= y + height;

/** @param {Dimension} one @param {Place} place of its figure @param {number} px @param {number} type @returns {SVGElement[]} */
function dimension({ from: [ax, ay], to: [bx, by], text }, { x, y, anchor }, px, type) {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const [across, down] = [(-(by - ay) / length) * 5 * px, ((bx - ax) / length) * 5 * px];
  /** @type {import('../api.js').LineMm[]} */
  const lines = [
    [ax, ay, bx, by],
    [ax - across, ay - down, ax + across, ay + down],
    [bx - across, by - down, bx + across, by + down],
  ];
  return [
    ...twinLines(lines, { px }),
    s('text', { x, y, 'text-anchor': anchor, 'font-size': type, class: 'over-picture' }, ...svgMeasure(text)),
  ];
}

/** Where the shortest way from a point to a side meets it. @param {Xy} point @param {Xy} from @param {Xy} to @returns {Xy} */
export function foot([x, y], from, to) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const along = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy);
  return [from[0] + along * dx, from[1] + along * dy];
}
