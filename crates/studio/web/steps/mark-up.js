// Step 5, Mark-up: every ruler reading from either end, large enough to be read at arm's length, to work down and tick
// off with a pencil in the other hand.

import { button, choice, list } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { keep, recall } from '../sight.js';
import { measure, parted, setSentence } from '../parts/measure.js';

/** @import { DetailView, Side, SideView, View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @type {[Side | 'diagonals', string][]} */
const PARTS = [['top', 'Top'], ['right', 'Right'], ['bottom', 'Bottom'], ['left', 'Left'], ['diagonals', 'Diagonals']];

/** @param {Desk} desk @returns {Step} */
export function markUp(desk) {
  const { painting, sight } = desk;
  const shelf = `ticks ${painting.state.id}`;
  /** What is ticked off, by side and reading, so that a mark that moves is to be made again. @type {Set<string>} */
  const ticked = new Set(recall(shelf, /** @type {string[]} */ ([])));
  /** @type {Side | 'diagonals'} */
  let part = 'top';
  /** The detail box that is marked, by its place in the list; -1 for the canvas. */
  let box = -1;
  const whole = list({ label: 'What is marked', pick(value) { box = Number(value); show(desk.view); } });
  const parts = choice({ legend: 'Side', hideLegend: true, options: PARTS, pick(value) { part = value; show(desk.view); } });
  parts.set(part);
  const lead = h('p');
  const rows = h('tbody');
  const [fromStart, fromEnd] = [h('th', { scope: 'col' }), h('th', { scope: 'col' })];
  const table = h('table', { class: 'readings' },
    h('thead', {}, h('tr', {}, h('td', {}, h('span', { class: 'unseen' }, 'Done')), fromStart, fromEnd)), rows);
  const done = h('p', { class: 'hint', role: 'status' });
  const afresh = button('Start afresh', () => {
    ticked.clear();
    keep(shelf, []);
    shownRows = '';
    show(desk.view);
  }, { kind: 'quiet' });
  const caution = h('p', { class: 'hint' }, 'Mark lightly with a hard pencil or charcoal: ink and marker can bleed through paint.');

  let shownRows = '';
  let shownBoxes = '';
  /** @param {View} view */
  function show(view) {
    const { canvas, details } = view;
    const names = details.map(({ name }) => name);
    if (JSON.stringify(names) !== shownBoxes) {
      shownBoxes = JSON.stringify(names);
      whole.fill([['', [['-1', 'The canvas'], ...names.map((name, at) => /** @type {[string, string]} */ ([String(at), name]))]]]);
    }
    const detail = details[box];
    if (!detail) box = -1;
    whole.set(String(box));
    whole.element.hidden = !names.length;
    parts.element.hidden = Boolean(detail);
    const side = canvas.sides.find((one) => one.side === part);
    const what = JSON.stringify(detail ?? [part, side, canvas.diagonals]);
    if (what !== shownRows) {
      shownRows = what;
      if (detail) showBox(detail);
      else if (side) showSide(side);
      else showDiagonals(canvas.diagonals);
    }
    count(view);
  }

  /** @param {DetailView} detail */
  function showBox({ name, marks: { corners, diagonal, inner } }) {
    setSentence(lead, `${name}: its corners by their distance from the canvas’s left and top, then its own marks. Both its diagonals are ${diagonal}.`);
    [fromStart.textContent, fromEnd.textContent] = ['from the left', 'from the top'];
    rows.replaceChildren(
      ...corners.map(({ name: corner, left, top }) => readingRow(
        `${name} ${corner} ${left} ${top}`, `The ${corner} corner, ${left} from the left and ${top} from the top`, left, top, `${corner} corner`)),
      ...inner.flatMap(({ side, marks }) => marks.length ? [heading(side), ...marks.map(({ from_start: start, from_end: end }, index) => readingRow(
        `${name} ${side} ${start} ${end}`, `Mark ${index + 1} of ${marks.length} along the box’s ${side}`, start, end))] : []));
  }

  /** Between the rows: from which ends of the box the marks that follow are measured. @param {Side} side */
  function heading(side) {
    const [start, end] = side === 'top' ? ['from the box’s left', 'from its right'] : ['from the box’s top', 'from its bottom'];
    return h('tr', { class: 'between' }, h('td', {}), h('th', { scope: 'col' }, start), h('th', { scope: 'col' }, end));
  }

  /** @param {SideView} side */
  function showSide({ side, total, marks }) {
    const level = side === 'top' || side === 'bottom';
    const unit = parted(total)[1];
    setSentence(lead, `The ${side} side is ${total} long. Readings in ${unit === 'in' ? 'inches' : 'centimetres'}.`);
    fromStart.textContent = level ? 'from the left' : 'from the top';
    fromEnd.textContent = level ? 'from the right' : 'from the bottom';
    rows.replaceChildren(...marks.map(({ from_start: start, from_end: end }, index) => readingRow(
      `${side} ${start} ${end}`, `Mark ${index + 1} of ${marks.length}, ${start} ${fromStart.textContent}`, start, end)));
    if (!marks.length) rows.append(h('tr', {}, h('td', { colspan: 3, class: 'none' }, 'No marks on this side.')));
  }

  /** @param {[string, string]} diagonals */
  function showDiagonals([down, up]) {
    setSentence(lead, down === up
      ? 'The canvas is square when both diagonals are equal. Measure them before you mark.'
      : 'Your measurements make the diagonals differ. Measure them again before you mark.');
    fromStart.textContent = 'down ↘';
    fromEnd.textContent = 'up ↗';
    rows.replaceChildren(readingRow(`diagonals ${down} ${up}`, 'Both diagonals measured', down, up));
  }

  /** @param {string} key @param {string} name @param {string} start @param {string} end @param {string} [about] what is marked, where the row does not say */
  function readingRow(key, name, start, end, about = '') {
    const tickBox = h('input', {
      type: 'checkbox', 'aria-label': name,
      onchange: () => {
        if (tickBox.checked) ticked.add(key);
        else ticked.delete(key);
        keep(shelf, [...ticked]);
        count(desk.view);
      },
    });
    tickBox.checked = ticked.has(key);
    return h('tr', {}, h('td', {}, h('label', { class: 'tick' }, tickBox)),
      h('td', { class: 'reading' }, measure(parted(start)[0]), about && h('span', { class: 'about-row' }, about)), h('td', { class: 'reading' }, measure(parted(end)[0])));
  }

  /** @param {View} view */
  function count({ canvas, details }) {
    const ofSides = (/** @type {SideView[]} */ sides, name = '') => sides.flatMap(({ side, marks }) =>
      marks.map((mark) => `${name}${side} ${mark.from_start} ${mark.from_end}`));
    const keys = [
      ...ofSides(canvas.sides),
      ...details.flatMap(({ name, marks }) => [
        ...marks.corners.map((corner) => `${name} ${corner.name} ${corner.left} ${corner.top}`),
        ...ofSides(marks.inner, `${name} `),
      ]),
    ];
    const made = keys.filter((key) => ticked.has(key)).length;
    setSentence(done, `${made} of ${keys.length} marks ticked off.`);
    afresh.hidden = made === 0;
  }

  return {
    panel: h('div', { class: 'stack' }, whole.element, parts.element, lead, table, done, caution, afresh),
    update: show,
    open: () => sight.want({ marks: true, details: false }),
    close: () => undefined,
  };
}
