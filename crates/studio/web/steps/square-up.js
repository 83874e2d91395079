// Part of step 1: square up a photo that was taken of a print, by its four corners in the photo.

import { button, field, row, troubleLine } from '../parts/controls.js';
import { closed, twinLines } from '../parts/lines.js';
import { h } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';

/** @import { Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Inset } from './reference.js' */

/** @type {[key: string, name: string][]} */
const CORNERS = [['0', 'Top left'], ['1', 'Top right'], ['2', 'Bottom right'], ['3', 'Bottom left']];
/** Where the corners first lie: this share of the photo's sides in from its edges. */
const FIRST_INSET = 0.1;

/** @param {Desk} desk @param {() => void} leave @returns {Inset} */
export function squareUp(desk, leave) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  let printSize = '';
  const size = field({
    label: 'The print’s width × height, if you know them', kind: 'text', wide: true,
    hint: 'As 8 x 10 in. Without them the shape is worked out from the corners.',
    commit: (text) => { printSize = text.trim(); size.set(printSize); },
  });
  const held = inHand({
    legend: 'Corner in hand',
    things: CORNERS,
    take: (key) => corners.reveal(Number(key)),
    nudge: (key, steps) => corners.nudge(Number(key), steps),
    hint: 'Drag a corner under the loupe, or tap to set the corner in hand. What lies outside is cut off: a border, or the bars of a screen.',
  });
  const corners = new Handles(stage, {
    points: CORNERS.map(([, name]) => ({ name: `${name} corner of the print`, look: 'corner' })),
    step: () => 1,
    loupe: true,
    hold: () => stage.draw(),
    done: () => stage.draw(),
    cancel: () => stage.draw(),
    taken: (index) => held.take(String(index)),
    inHand: () => Number(held.key),
  });
  const asItIs = button('Take the photo as it is', () => apply(painting.edit({ reference: { do: 'forget-square-up' } })));
  const body = h('div', { class: 'inset stack' },
    h('p', {}, 'For a photo that was taken of a print: lay the four corners on the corners of the print.'),
    held.element, size.element,
    row(button('Square up', () => apply(painting.edit({
      reference: { do: 'square-up', corners: fourOf(corners.points), print_size: printSize || null },
    })), { kind: 'next' }), asItIs, button('Leave it', leave, { kind: 'quiet' })),
    trouble.element);

  /** @param {Promise<unknown>} promise */
  function apply(promise) {
    trouble.act(promise.then(leave));
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen) return;
    corners.lay(corners.points);
    stage.overlay.replaceChildren(...twinLines(closed(corners.points), { px: stage.px, width: 1.5 }));
  });

  return {
    title: 'Square up a photographed print',
    body,
    update(view) {
      asItIs.hidden = !view.reference?.square_up;
    },
    open() {
      isOpen = true;
      const [width, height] = desk.view.reference?.photo ?? [1, 1];
      const [left, top] = [width * FIRST_INSET, height * FIRST_INSET];
      /** @type {Xy[]} */
      const first = [[left, top], [width - left, top], [width - left, height - top], [left, height - top]];
      corners.lay(desk.view.reference?.square_up ?? first);
      corners.show(true);
      stage.give({
        tap: (_, at) => corners.set(Number(held.key), at),
        cancel: leave,
        key(event) {
          const steps = arrow(event);
          if (steps) corners.nudge(Number(held.key), steps);
        },
      }, 'The photo as it was brought in. Arrow keys move the corner in hand.');
      stage.turnTo('photo');
    },
    close() {
      isOpen = false;
      corners.show(false);
      stage.overlay.replaceChildren();
      stage.turnTo('canvas');
    },
  };
}

/** The handles stand on four corners. @param {Xy[]} points @returns {[Xy, Xy, Xy, Xy]} */
const fourOf = ([a = [0, 0], b = [0, 0], c = [0, 0], d = [0, 0]]) => [a, b, c, d];
