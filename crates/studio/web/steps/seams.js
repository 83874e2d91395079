// Part of step 6: the seams between the sheets, taken hold of on the canvas, and what they go by.

import { arrowStep, setSentence } from '../parts/measure.js';
import { button, choice, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';

/** @import { Edit, SeamDirection, SeamRule, SheetPlanView, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** @typedef {{ direction: SeamDirection, at: number, place: number }} Seam */

/** A seam this near to where it was put, in mm, lies there. */
const AS_ASKED = 0.5;

/** @param {Desk} desk */
export function seams(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  const rule = choice({
    legend: 'The seams',
    options: /** @type {[SeamRule, string][]} */ ([['beside-head', 'Beside the head'], ['fewest', 'On the fewest sheets']]),
    pick: (by) => trouble.act(painting.edit({ print: { do: 'seams', by } })),
  });
  const sentence = h('p', { class: 'remark' });
  const byHand = h('p', { class: 'hint' });
  const narrow = button('', () => trouble.act(painting.edit({ print: { do: 'lap', lap: helpful } })));
  /** The lap with which no seam runs through the head. */
  let helpful = '';
  const again = button('Let them run by themselves', () => trouble.act(painting.edit({ print: { do: 'seams', by: 'beside-head' } })), { kind: 'quiet' });

  /** The seams that are held, and the handles on them. @type {Seam[]} */
  let held = [];
  /** @type {Handles | null} */
  let handles = null;
  let madeFor = '';
  let isOpen = false;

  /** Handles for so many seams; they are made anew only when there are more or fewer. @param {Seam[]} now */
  function handlesFor(now) {
    const what = now.map(({ direction }) => direction).join();
    if (!handles || what !== madeFor) {
      handles?.show(false);
      madeFor = what;
      handles = new Handles(stage, {
        points: now.map(({ direction, at }) => ({ name: `The ${direction} seam ${at + 1}`, look: `seam ${direction}` })),
        step: () => arrowStep(painting.view.unit),
        hold: (index, points) => { const edit = moved(index, points); if (edit) void painting.try(edit); },
        done: (points) => finish(points),
        cancel: () => painting.endTry(),
        taken: (index) => { inHand = index; },
      });
    }
    return handles;
  }
  let inHand = 0;

  /** @param {number} index @param {Xy[]} points @returns {Edit | null} */
  function moved(index, points) {
    const [seam, point] = [held[index], points[index]];
    if (!seam || !point) return null;
    return { print: { do: 'seam', direction: seam.direction, at: seam.at, to: seam.direction === 'upright' ? point[0] : point[1] } };
  }

  /** @param {Xy[]} points */
  function finish(points) {
    const edit = moved(inHand, points);
    if (!edit || !('print' in edit) || edit.print.do !== 'seam') return undefined;
    const { to, direction, at } = edit.print;
    return trouble.act(painting.edit(edit).then(({ view: { sheets } }) => {
      const place = sheets?.[direction === 'upright' ? 'upright_seams' : 'level_seams'][at] ?? to;
      if (Math.abs(place - to) > AS_ASKED) trouble.say('The seam goes no further: the sheet beside it holds no more of the canvas.');
    }));
  }

  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const sheets = stage.view.sheets;
    const now = sheets ? seamsOf(sheets) : [];
    const made = handlesFor(now);
    if (!made.held) held = now;
    made.show(now.length > 0);
    made.lay(now.map((seam) => grip(seam, stage)));
  });

  return {
    element: h('div', { class: 'stack' }, rule.element, sentence, narrow, byHand, again, trouble.element),
    /** @param {View} view */
    update({ printing, sheets, reference }) {
      const hand = printing.seams === 'hand';
      rule.element.hidden = hand || !reference?.head;
      if (printing.seams !== 'hand') rule.set(printing.seams);
      setSentence(sentence, sheets ? seamSentence(sheets) : '');
      helpful = sheets?.lap_beside_head ?? '';
      narrow.hidden = !helpful;
      setSentence(narrow, `Make the lap ${helpful}`);
      const several = (sheets?.windows.length ?? 0) > 1;
      setSentence(byHand, hand ? 'They run where you put them.' : several ? 'Drag a seam to move it; arrow keys do the same.' : '');
      again.hidden = !hand;
    },
    open() {
      isOpen = true;
      stage.draw();
    },
    close() {
      isOpen = false;
      handles?.show(false);
    },
  };
}

/** @param {SheetPlanView} sheets @returns {Seam[]} */
const seamsOf = (sheets) => [
  ...sheets.upright_seams.map((place, at) => /** @type {Seam} */ ({ direction: 'upright', at, place })),
  ...sheets.level_seams.map((place, at) => /** @type {Seam} */ ({ direction: 'level', at, place })),
];

/** Where a seam is taken hold of: near the end of what is seen of it, where no face is. @param {Seam} seam @param {import('../stage.js').Stage} stage @returns {Xy} */
function grip({ direction, place }, { size: [width, height], seen: [left, top, wide, high] }) {
  const along = (/** @type {number} */ from, /** @type {number} */ to, /** @type {number} */ share) => from + (to - from) * share;
  return direction === 'upright'
    ? [place, along(Math.max(top, 0), Math.min(top + high, height), 0.94)]
    : [along(Math.max(left, 0), Math.min(left + wide, width), 0.06), place];
}

/** @param {SheetPlanView} sheets */
function seamSentence(sheets) {
  if (sheets.problem) return sheets.problem;
  if (sheets.windows.length === 1) return 'The reference goes on one sheet, without a seam.';
  const crossed = sheets.seam_through_head ? `; a seam runs through ${sheets.seam_through_head}` : '';
  const clear = sheets.clearance ? `; no seam within ${sheets.clearance} of the face` : crossed;
  const through = sheets.seam_through.length ? `; a seam runs through ${sheets.seam_through.map((name) => `“${name}”`).join(' and ')}` : '';
  const help = sheets.lap_beside_head ? ` With a lap of ${sheets.lap_beside_head} none runs through the head.` : '';
  return `The broken lines on the canvas are the seams of ${sheets.windows.length} sheets${clear}${through}.${help}`;
}
