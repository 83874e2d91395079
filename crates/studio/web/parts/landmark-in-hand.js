// The landmark in hand, on the reference and on the painting alike: its name beside its mark, and what a tap is meant for next.

import { s } from './dom.js';

/** @import { Xy } from '../api.js' */

/** From the mark up to its name or down to it, and the name's size, in screen pixels: clear of the mark's button. */
const [ABOVE, BELOW, SIZE] = [26, 36, 15];
/** Half a sign of a name is about so wide in its own size. */
const HALF_SIGN = 0.28;

/**
 * The name over its mark, or under it where that would not be seen; none where the mark is not.
 * @param {string} name @param {Xy} at the mark @param {import('../stage.js').Stage} stage
 * @returns {SVGElement[]}
 */
export function nameOver(name, [x, y], { px, seen: [left, top, width, height] }) {
  if (x < left || y < top || x > left + width || y > top + height) return [];
  const half = name.length * HALF_SIGN * SIZE * px;
  const middle = Math.max(left + half, Math.min(x, left + width - half));
  const foot = y - (ABOVE + SIZE) * px < top ? y + BELOW * px : y - ABOVE * px;
  return [s('text', { x: middle, y: foot, 'text-anchor': 'middle', 'font-size': SIZE * px, class: 'over-picture' }, name)];
}

/** What follows, as a sentence after what was said of the landmark in hand. @param {string} next blank where there is no further one */
export const onwards = (next) => (next ? ` Now tap where the ${next} is, or drag this one again.` : '');
