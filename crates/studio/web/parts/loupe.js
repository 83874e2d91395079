// The loupe: what the finger hides, four times as large, with the exact point crossed. It shows the very scene of the
// stage, so it can never differ from it.

import { h, s } from './dom.js';

/** @import { Xy } from '../api.js' */

const TIMES = 4;
/** Across, in screen pixels. */
const ACROSS = 148;
/** From the finger to the loupe's middle, in screen pixels: clear of a thumb. */
const AWAY = 118;

export class Loupe {
  constructor() {
    this.svg = s('svg', { width: ACROSS, height: ACROSS },
      s('use', { href: '#scene' }));
    const half = ACROSS / 2;
    const cross = `M${half} 0V${half - 6}M${half} ${half + 6}V${ACROSS}M0 ${half}H${half - 6}M${half + 6} ${half}H${ACROSS}`;
    this.element = h('div', { class: 'loupe', hidden: true, 'aria-hidden': 'true' }, this.svg,
      s('svg', { width: ACROSS, height: ACROSS, class: 'cross' },
        s('path', { d: cross, class: 'under' }), s('path', { d: cross, class: 'over' }),
        s('circle', { cx: half, cy: half, r: 1 })));
  }

  /**
   * @param {Xy} at the point, in the stage's frame
   * @param {number} px one screen pixel in that frame
   * @param {Xy} finger where it is on the wall, in screen pixels
   * @param {HTMLElement} wall
   */
  look([x, y], px, [left, top], wall) {
    const across = (ACROSS * px) / TIMES;
    this.svg.setAttribute('viewBox', `${x - across / 2} ${y - across / 2} ${across} ${across}`);
    const half = ACROSS / 2;
    const above = top - AWAY - half > 0;
    const middleY = above ? top - AWAY : Math.max(top, half);
    const aside = left > wall.clientWidth / 2 ? -AWAY : AWAY;
    const middleX = above ? left : left + aside;
    const within = (/** @type {number} */ value, /** @type {number} */ most) => Math.min(Math.max(value, half), most - half);
    this.element.style.setProperty('left', `${within(middleX, wall.clientWidth) - half}px`);
    this.element.style.setProperty('top', `${within(middleY, wall.clientHeight) - half}px`);
    this.element.hidden = false;
  }

  hide() {
    this.element.hidden = true;
  }
}
