// Step 5, Mark-up: every ruler reading from either end, large enough to be read at arm's length, to work down and tick
// off with a pencil in the other hand.

import { button, choice, list, row, troubleLine } from '../parts/controls.js';
import { dimensions, foot } from '../parts/dimensions.js';
import { h, s } from '../parts/dom.js';
import { lineLook, sidesOf, twinLines } from '../parts/lines.js';
import { measure, parted, setSentence } from '../parts/measure.js';

/** @import { DetailView, Side, SideView, View, Xy } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @type {[Side | 'diagonals', string][]} */
const PARTS = [['top', 'Top'], ['right', 'Right'], ['bottom', 'Bottom'], ['left', 'Left'], ['diagonals', 'Diagonals']];
/** The ends of each side among the canvas's corners, which run clockwise from the top left. @type {Record<Side, [number, number]>} */
const ENDS = { top: [0, 1], right: [1, 2], bottom: [3, 2], left: [0, 3] };

/** How the tick of a mark begins, for that of the diagonals is no mark's. */
const PLACE = 'at ';

/** What a unit's sign stands for. @type {Record<string, string>} */
const READ_IN = { in: 'inches', cm: 'centimetres', mm: 'millimetres' };

/** @param {Desk} desk @returns {Step} */
export function markUp(desk) {
  const { choices, sight, stage } = desk;
  const trouble = troubleLine();
  /** What is ticked off, by its place on the canvas, so that a mark that moves is to be made again. */
  let ticked = new Set(choices.kept.ticked);
  choices.addEventListener('change', () => {
    ticked = new Set(choices.kept.ticked);
    for (const box_ of rows.querySelectorAll('input')) box_.checked = ticked.has(box_.value);
    count(desk.view);
    desk.refresh();
  });
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
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, h('span', { class: 'unseen' }, 'Done')), fromStart, fromEnd)), rows);
  const contradiction = h('p', { class: 'remark' });
  const rounding = h('p', { class: 'hint' });
  const done = h('p', { class: 'hint', role: 'status' });
  const afresh = button('Start afresh', () => ask(true), { kind: 'quiet' });
  const clear = button('Take all ticks away', () => {
    void trouble.act(choices.change({ untick: [...ticked] }));
    ticked.clear();
    shownRows = '';
    ask(false);
    show(desk.view);
  });
  const surely = row(clear, button('Keep them', () => ask(false), { kind: 'quiet' }));
  surely.hidden = true;
  /** Asks first: undo knows nothing of ticks. @param {boolean} on */
  function ask(on) {
    surely.hidden = !on;
    if (on) clear.focus();
    else if (!afresh.hidden) afresh.focus();
  }
  const fallen = h('p', { class: 'remark', role: 'status' });
  /** Marks that were ticked off and are none any more. @type {string[]} */
  let gone = [];
  const rubbedOut = button('They are rubbed out', () => {
    for (const key of gone) ticked.delete(key);
    void trouble.act(choices.change({ untick: gone }));
    count(desk.view);
    stage.draw();
  });
  const caution = h('p', { class: 'hint' }, 'Mark lightly with a hard pencil or charcoal: ink and marker can bleed through paint.');

  let isOpen = false;
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
    setSentence(contradiction, canvas.contradiction ?? '');
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
    const rounded = `Each reading is rounded by itself, so that the two may add up to ${view.ruler} more or less than the side.`;
    setSentence(rounding, detail
      ? `A corner takes both readings, the ruler square to the side of the canvas that each names. Along the box’s own sides mark by the first column, and check by the second. ${rounded}`
      : side ? `Mark by the first column, with the ruler’s zero at the corner; check by the second. ${rounded}` : '');
    count(view);
    if (isOpen) look();
  }

  /** Shows on the canvas what is being marked: the canvas's marks, or the box in hand and where its corners are. */
  function look() {
    sight.want({ marks: box < 0, details: false });
  }

  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const detail = stage.view.details[box];
    stage.overlay.replaceChildren(
      ...(detail ? boxDrawing(detail, stage.view, stage) : []),
      ...gone.map(placeOf).filter((at) => isOnCanvas(at, stage.size)).flatMap((at) => crossedOut(at, stage.px)));
  });

  /** @param {DetailView} detail */
  function showBox({ name, rect, marks: { corners, diagonal, inner } }) {
    setSentence(lead, `${name}: its corners by their distance from the nearest sides of the canvas, then the marks along its own sides. Both its diagonals are ${diagonal}.`);
    [fromStart.textContent, fromEnd.textContent] = ['across', 'down'];
    rows.replaceChildren(
      ...corners.map((corner, at) => readingRow(
        keyOf(cornerOf(rect, at)), `The ${corner.name} corner, ${corner.across.reading} from the ${corner.across.from} and ${corner.down.reading} from the ${corner.down.from}`,
        corner.across.reading, corner.down.reading, [`${corner.name} corner, from the ${corner.across.from}`, `from the ${corner.down.from}`])),
      ...inner.flatMap((side) => side.marks.length ? [heading(side), ...side.marks.map(({ at, from_start: start, from_end: end }, index) => readingRow(
        keyOf(at), `Mark ${index + 1} of ${side.marks.length} along the box’s ${side.side}`, start, end))] : []));
  }

  /** Between the rows: from which ends of the box the marks that follow are measured. @param {SideView} side */
  function heading({ side, total }) {
    const [start, end] = side === 'top' ? [`${total} wide, from the box’s left`, 'from its right'] : [`${total} high, from the box’s top`, 'from its bottom'];
    return h('tr', { class: 'between' }, h('td', {}), h('th', { scope: 'col' }, start), h('th', { scope: 'col' }, end));
  }

  /** @param {SideView} side */
  function showSide({ side, total, marks }) {
    const level = side === 'top' || side === 'bottom';
    const unit = parted(total)[1];
    setSentence(lead, `The ${side} side is ${total} long. Readings in ${READ_IN[unit] ?? unit}.`);
    fromStart.textContent = level ? 'from the left' : 'from the top';
    fromEnd.textContent = level ? 'from the right' : 'from the bottom';
    rows.replaceChildren(...marks.map(({ at, from_start: start, from_end: end }, index) => readingRow(
      keyOf(at), `Mark ${index + 1} of ${marks.length}, ${start} ${fromStart.textContent}`, start, end)));
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

  /** @param {string} key @param {string} name @param {string} start @param {string} end @param {[string, string]} [about] what the two readings are, where the columns do not say */
  function readingRow(key, name, start, end, about) {
    const tickBox = h('input', {
      type: 'checkbox', value: key, 'aria-label': name,
      onchange: () => {
        if (tickBox.checked) ticked.add(key);
        else ticked.delete(key);
        void trouble.act(choices.change(tickBox.checked ? { tick: [key] } : { untick: [key] }));
        count(desk.view);
      },
    });
    tickBox.checked = ticked.has(key);
    // A finger is meant for the reading as much as for the box before it.
    const touched = (/** @type {Event} */ { target }) => target instanceof Element && !target.closest('label') && tickBox.click();
    return h('tr', { onclick: touched }, h('td', {}, h('label', { class: 'tick' }, tickBox)),
      ...[start, end].map((reading, index) => h('td', { class: 'reading' }, measure(parted(reading)[0]), about && h('span', { class: 'about-row' }, about[index]))));
  }

  /** Every mark there is. @param {View} view */
  function keysOf({ canvas, details }) {
    const ofSides = (/** @type {SideView[]} */ sides) => sides.flatMap(({ marks }) => marks.map(({ at }) => keyOf(at)));
    return [
      ...ofSides(canvas.sides),
      ...details.flatMap(({ rect, marks }) => [...marks.corners.map((_, at) => keyOf(cornerOf(rect, at))), ...ofSides(marks.inner)]),
    ];
  }

  /** Marks that were ticked off and are none any more, the canvas, its grid or a box being another now. @param {View} view */
  function noMore(view) {
    const keys = new Set(keysOf(view));
    return [...ticked].filter((key) => key.startsWith(PLACE) && !keys.has(key));
  }

  /** @param {View} view */
  function count(view) {
    const made = keysOf(view).filter((key) => ticked.has(key)).length;
    setSentence(done, `${made} of ${view.canvas.mark_count} marks ticked off.`);
    afresh.hidden = made === 0;
    gone = noMore(view);
    rubbedOut.hidden = !gone.length;
    setSentence(fallen, !gone.length ? '' : gone.length === 1
      ? 'A mark that was ticked off is not in the plan any more: it is crossed out on the canvas here. Rub it out on yours before you rule a line by it.'
      : `${gone.length} marks that were ticked off are not in the plan any more: they are crossed out on the canvas here. Rub them out on yours before you rule lines by them.`);
  }

  return {
    panel: h('div', { class: 'stack' }, whole.element, parts.element, contradiction, lead, table, rounding, done, fallen, rubbedOut, trouble.element, caution, afresh, surely),
    update: show,
    more() {
      const made = keysOf(desk.view).filter((key) => ticked.has(key)).length;
      return made ? `${made} ticked off` : '';
    },
    open() {
      isOpen = true;
      look();
    },
    close() {
      isOpen = false;
      stage.overlay.replaceChildren();
    },
  };
}

/** By what the tick of a mark is kept: its place on the canvas, to a tenth of a millimetre, whatever ruler it is read on. @param {Xy} at in mm */
const keyOf = (at) => `${PLACE}${at.map((mm) => (Math.round(mm * 10) / 10 || 0).toFixed(1)).join(' ')}`;

/** The place that a tick is kept by. @param {string} key @returns {Xy} */
function placeOf(key) {
  const [x = 0, y = 0] = key.slice(PLACE.length).split(' ').map(Number);
  return [x, y];
}

/** @param {Xy} at @param {Xy} size of the canvas */
const isOnCanvas = ([x, y], [width, height]) => x > -1 && y > -1 && x < width + 1 && y < height + 1;

/** Half the breadth of the cross on a mark that is to be rubbed out, in screen pixels. */
const CROSS = 9;

/** @param {Xy} at @param {number} px */
const crossedOut = ([x, y], px) => [
  s('circle', { cx: x, cy: y, r: 1.4 * CROSS * px, class: 'rub-out' }),
  ...twinLines([[x - CROSS * px, y - CROSS * px, x + CROSS * px, y + CROSS * px], [x - CROSS * px, y + CROSS * px, x + CROSS * px, y - CROSS * px]], { px, width: 2 }),
];

/** A corner of a box, clockwise from the top left. @param {import('../api.js').RectMm} rect @param {number} at @returns {Xy} */
const cornerOf = ([left, top, width, height], at) => [left + (at === 1 || at === 2 ? width : 0), top + (at > 1 ? height : 0)];

/**
 * The box with its grid, and the ways to two of its opposite corners from the sides of the canvas that they are measured from.
 * @param {DetailView} detail @param {View} view @param {import('../stage.js').Stage} stage
 */
function boxDrawing({ rect, grid, marks }, view, stage) {
  const { px } = stage;
  const [left, top, width, height] = rect;
  const lines = lineLook(view, px);
  /** @type {[number, Xy][]} */
  const measured = [[0, [left, top]], [2, [left + width, top + height]]];
  return [
    ...twinLines(grid.lines, { ...lines, width: 1 }),
    ...twinLines(sidesOf(rect), { ...lines, width: Math.max(lines.width, 1.5) }),
    ...dimensions(measured.flatMap(([corner, at]) => {
      const { across, down } = marks.corners[corner] ?? {};
      return [across, down].flatMap((way) => {
        if (!way) return [];
        const [from, to] = ENDS[way.from].map((end) => view.canvas.outline[end] ?? at);
        return from && to ? [{ from: foot(at, from, to), to: at, text: way.reading }] : [];
      });
    }), stage),
  ];
}
