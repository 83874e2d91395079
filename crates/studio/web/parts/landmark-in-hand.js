// The landmark in hand, on the reference and on the painting alike: its name beside its mark, and what a tap is meant for next.

import { s } from './dom.js';

/** @import { Xy } from '../api.js' */

/** From the mark up to its name, and the name's size, in screen pixels: clear of the mark's button. */
const [ABOVE, SIZE] = [26, 15];

/** @param {string} name @param {Xy} at the mark @param {number} px */
export const nameOver = (name, [x, y], px) =>
  s('text', { x, y: y - ABOVE * px, 'text-anchor': 'middle', 'font-size': SIZE * px, class: 'over-picture' }, name);

/** What follows, as a sentence after what was said of the landmark in hand. @param {string} next blank where there is no further one */
export const onwards = (next) => (next ? ` Now tap where the ${next} is, or drag this one again.` : '');
