// Picking spots on the easel's picture: a touch, or the arrow keys, and the value there is told until it is put away.

import * as server from '../server.js';
import { arrowStep } from '../parts/measure.js';
import { button } from '../parts/controls.js';
import { h, setText } from '../parts/dom.js';

/** @import { Unit, Xy } from '../api.js' */

const FIRST = 'Touch the picture, or press arrow keys: the value there is told.';

/**
 * @param {{ painting: string, unit: () => Unit, steps: () => number, begin: () => Xy, moved: () => void, done: () => void }} wishes
 *   `begin` gives the place from which keys begin to move the spot
 */
export function spots({ painting, unit, steps, begin, moved, done }) {
  /** @type {Xy | null} */
  let at = null;
  let asked = 0;
  const says = h('p', { role: 'status' });
  const element = h('div', { class: 'spot-bar', role: 'group', 'aria-label': 'The value of a spot', hidden: true }, says, button('Done', close));

  /** Tells the value at a place of the canvas. @param {Xy} to */
  async function pick(to) {
    at = to;
    moved();
    const mine = (asked += 1);
    const sentence = await server.spot(painting, to, steps()).then((spot) => spot.says, (error) => {
      if (!(error instanceof server.Refusal)) throw error;
      return error.message;
    });
    if (mine === asked && at) setText(says, sentence);
  }

  function close() {
    at = null;
    element.hidden = true;
    done();
  }

  return {
    element, close,
    pick: (/** @type {Xy} */ to) => void pick(to),
    get isOpen() { return !element.hidden; },
    get at() { return at; },
    open() {
      setText(says, FIRST);
      element.hidden = false;
    },
    /** @param {Xy} steps_ right and down on the canvas */
    nudge([right, down]) {
      const [x, y] = at ?? begin();
      const by = arrowStep(unit());
      void pick([x + right * by, y + down * by]);
    },
    /** Asks again, for the photo may lie elsewhere now. */
    again() {
      if (at) void pick(at);
    },
  };
}
