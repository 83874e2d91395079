// Step 4, Grid: how the canvas is divided, and how its lines are drawn over the picture.

import { button, choice, field, row, tick, troubleLine } from '../parts/controls.js';
import { UNIT_SIGN } from '../parts/measure.js';
import { detailBoxes } from './detail-boxes.js';
import { freshId, h } from '../parts/dom.js';
import { partsField } from '../parts/parts-field.js';

/** @import { Edit, LineTone, SquaresFrom, View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @type {[parts: number, word: string][]} */
const HALVINGS = [[2, 'Halves'], [4, 'Quarters'], [8, 'Eighths']];
/** @type {[SquaresFrom, string][]} */
const FROM = [['top-left', 'Top left'], ['top-right', 'Top right'], ['bottom-left', 'Bottom left'], ['bottom-right', 'Bottom right'], ['centre', 'The middle']];

/** @param {Desk} desk @returns {Step} */
export function grid(desk) {
  const { painting, sight } = desk;
  const trouble = troubleLine(painting);
  const edit = (/** @type {Edit} */ made) => trouble.act(painting.edit(made));
  /** @type {[number, number]} */
  let parts = [4, 4];
  /** @type {SquaresFrom} */
  let from = 'top-left';
  let square = '';

  const halvings = HALVINGS.map(([number, word]) => {
    const press = button(word, () => edit({ grid: { do: 'parts', columns: number, rows: number } }));
    return { number, press };
  });
  const columns = partsField('Columns', (columns) => painting.edit(() => ({ grid: { do: 'parts', columns, rows: parts[1] } })));
  const rows = partsField('Rows', (rows) => painting.edit(() => ({ grid: { do: 'parts', columns: parts[0], rows } })));
  const side = field({
    label: 'Or squares of', commit: (text) => painting.edit({ grid: { do: 'squares', side: text, from } }),
  });
  const corner = choice({
    legend: 'Counted from', options: FROM,
    pick: (value) => {
      from = value;
      if (square) edit({ grid: { do: 'squares', side: square, from } });
    },
  });
  const diagonals = tick({ label: 'Diagonals', pick: (on) => edit({ grid: { do: 'diagonals', diagonals: on } }) });
  const boxes = detailBoxes(desk);
  const look = lineLook(desk);

  return {
    panel: h('div', { class: 'stack' },
      h('div', { class: 'row', role: 'group', 'aria-label': 'Divide by halving' }, ...halvings.map(({ press }) => press)),
      row(columns.element, rows.element, side.element), corner.element, diagonals.element, trouble.element,
      boxes.element, look.element),
    update(view) {
      parts = view.grid.parts ?? parts;
      square = view.grid.square ?? '';
      from = view.grid.from ?? from;
      for (const { number, press } of halvings) {
        const isSo = view.grid.parts?.[0] === number && view.grid.parts[1] === number;
        press.setAttribute('aria-pressed', String(isSo));
      }
      columns.set(view.grid.parts ? String(view.grid.parts[0]) : '');
      rows.set(view.grid.parts ? String(view.grid.parts[1]) : '');
      side.setUnit(UNIT_SIGN[view.unit]);
      side.set(square);
      corner.set(from);
      corner.element.hidden = !square;
      diagonals.set(view.grid.diagonals);
      boxes.update(view);
      look.update(view);
    },
    open() {
      sight.want({});
      boxes.open();
    },
    close: boxes.close,
  };
}

/** How the lines are drawn over the picture, on screens and on the sheets. @param {Desk} desk */
function lineLook(desk) {
  const { painting, sight } = desk;
  const id = freshId('strength');
  const trouble = troubleLine(painting);
  const strength = h('input', {
    id, type: 'range', min: 1, max: 4, step: 0.5,
    oninput: () => desk.runAhead((view) => ({ ...view, printing: { ...view.printing, line_strength: Number(strength.value) } })),
    onchange: () => draw({ strength: Number(strength.value) }),
  });
  const tone = choice({
    legend: 'Lines drawn',
    options: /** @type {[LineTone, string][]} */ ([['both', 'Light and dark'], ['light', 'Light'], ['dark', 'Dark']]),
    pick: (value) => draw({ tone: value }),
  });
  const seen = tick({ label: 'Show the grid over the picture on this screen', pick: (on) => sight.look({ grid: on }) });

  /** @param {{ strength?: number, tone?: LineTone }} change */
  function draw(change) {
    const { line_strength, line_tone } = painting.state.view.printing;
    trouble.act(desk.editAhead({ print: { do: 'line-look', strength: line_strength, tone: line_tone, ...change } }));
  }

  const element = h('section', { class: 'stack ruled' },
    h('h3', {}, 'The lines, on screens and sheets'),
    tone.element, h('div', { class: 'field wide' }, h('label', { for: id }, 'Strength'), strength), seen.element, trouble.element);
  return {
    element,
    /** @param {View} view */
    update({ printing }) {
      strength.value = String(printing.line_strength);
      strength.setAttribute('aria-valuetext', `${printing.line_strength} times the finest`);
      tone.set(printing.line_tone);
      seen.set(sight.looks.grid);
    },
  };
}
