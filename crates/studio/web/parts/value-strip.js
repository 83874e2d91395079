// The value strip: the greys of a value map with their Munsell values, the lightest first, as printed beside the map on
// the sheets; and which of them a picked spot belongs to.

import * as server from '../server.js';
import { h } from './dom.js';

/** @import { ValueStep } from '../api.js' */

/** The fewest steps a value map has. */
export const FEWEST = 2;
/** The most. */
export const MOST = 9;
/** The darkest value whose figures are black: there both black and white stand out by 4.5 to 1 (WCAG 2.2, 1.4.3). */
const BLACK_FROM = 4.85;

/** Fetched once. @type {Promise<ValueStep[][]> | null} */
let all = null;

export function valueStrip() {
  const element = h('ol', { class: 'value-strip', 'aria-label': 'Value strip, the lightest first', hidden: true });
  let shown = '';
  return {
    element,
    /** @param {number | null} count steps; null for none @param {number} [picked] the number of the step that is pointed out */
    async show(count, picked = 0) {
      const what = `${count} ${picked}`;
      if (what === shown) return;
      shown = what;
      element.hidden = count === null;
      if (count === null) return;
      all ??= server.valueSteps();
      const steps = await all.catch((error) => {
        // Asked for again when it is next shown; that the studio is silent is said elsewhere.
        all = null;
        if (!(error instanceof server.Refusal)) throw error;
        return [];
      });
      if (what !== shown) return;
      element.replaceChildren(...[...(steps[count - FEWEST] ?? [])].reverse().map((step) => swatch(step, step.number === picked)));
    },
  };
}

/** @param {ValueStep} step @param {boolean} picked */
function swatch({ value, band, grey }, picked) {
  const item = h('li', { class: picked ? 'picked' : null, 'aria-current': picked ? 'true' : null, title: `Value ${value}, for ${band}` }, value);
  item.style.setProperty('background', `rgb(${grey} ${grey} ${grey})`);
  item.style.setProperty('color', Number(value) >= BLACK_FROM ? '#000' : '#fff');
  return item;
}
