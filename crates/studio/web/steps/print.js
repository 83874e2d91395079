// Step 7, Print: the paper, what goes on it, a picture of every sheet as it will come out, and the packet.

import * as server from '../server.js';
import { button, choice, field, list, row, tick, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { keep, recall } from '../sight.js';
import { printerList } from './printers.js';
import { RATIOS } from '../parts/ratios.js';
import { seams } from './seams.js';
import { setSentence } from '../parts/measure.js';
import { toneChoice } from '../parts/tone-choice.js';
import { toneText, usualTones } from '../parts/tones.js';

/** @import { Paper, PrintEdit, Sheet } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */
/** @import { Tones } from '../parts/tones.js' */

/** @type {[string, [value: Paper, label: string][]][]} */
const PAPERS = [['Inches', [['letter', 'Letter, 8 1/2 × 11 in'], ['legal', 'Legal, 8 1/2 × 14 in'], ['tabloid', 'Tabloid, 11 × 17 in']]], ['Metric', [['a4', 'A4, 21 × 29.7 cm'], ['a3', 'A3, 29.7 × 42 cm']]]];
/** The kinds of sheet, in the packet's order. @type {[word: string, label: string][]} */
const KINDS = [
  ['plan', 'Plan sheet'], ['marks', 'Mark-up sheet'], ['strips', 'Edge strips'], ['reference', 'Reference sheets'],
  ['details', 'Detail sheets'], ['film', 'Film sheet, the grid alone'], ['plots', 'Plots of the landmarks'], ['measures', 'Measures'], ['proportions', 'Proportions, and the camera'], ['bars', 'Scale bars'], ['card', 'Lens card, for the check'],
];
/** What is printed unless the painter asks for something else: all but the film, which wants clear film in the printer. */
const USUAL_KINDS = ['plan', 'marks', 'strips', 'reference', 'details', 'plots', 'measures', 'proportions', 'bars'];
/** The sheets are drawn anew when the wishes have been at rest for this long, in ms. */
const AT_REST = 250;

/**
 * What this browser keeps: how reference and detail sheets show the photo. The kinds of sheet and the printer are kept with the studio,
 * the rest is part of the plan.
 * @typedef {{ ratio: string, tones: Tones, mirror: boolean, upside: boolean, likeness: boolean, landmarks: boolean }} Wishes
 */

/**
 * @param {Desk} desk
 * @param {(sheet: Sheet | null) => void} hang shows a sheet large on the wall
 * @returns {Step & { asked: () => string, packet: (signal: AbortSignal) => ReturnType<typeof server.packet> }}
 */
export function print(desk, hang) {
  const { choices, painting, sight } = desk;
  const shelf = `print ${painting.state.id}`;
  let isOpen = false;
  /** @type {Wishes} */
  const wishes = { ratio: '1:1', tones: usualTones(painting.view.unit), mirror: false, upside: false, likeness: false, landmarks: false, ...recall(shelf, {}) };
  const trouble = troubleLine(painting);
  const edit = (/** @type {PrintEdit} */ made) => painting.edit({ print: made });
  /** @param {Partial<Wishes>} change */
  function wish(change) {
    Object.assign(wishes, change);
    keep(shelf, wishes);
    showWishes();
    desk.refresh();
  }

  /** @param {{ kinds?: string[], printer?: string }} change */
  function choose(change) {
    trouble.act(choices.change(change));
    showWishes();
    desk.refresh();
  }
  /** The kinds of sheet that are asked for. */
  const wanted = () => choices.kept.kinds ?? USUAL_KINDS;

  const paper = list({ label: 'Paper', pick: (value) => trouble.act(edit({ do: 'paper', paper: /** @type {Paper} */ (value) })) });
  paper.fill(PAPERS);
  paper.element.append(h('p', { class: 'hint' }, 'Until you choose one, it goes with the unit of lengths: Letter with inches, A4 with centimetres or millimetres.'));
  const margin = field({ label: 'Blank margin', commit: (text) => edit({ do: 'margin', margin: text }) });
  const lap = field({ label: 'Lap of two sheets', commit: (text) => edit({ do: 'lap', lap: text }) });
  const lines = choice({
    legend: 'The grid over it', options: /** @type {['with' | 'without', string][]} */ ([['with', 'Drawn'], ['without', 'Left off']]),
    pick: (value) => trouble.act(edit({ do: 'lines', lines: value === 'with' })),
  });
  const kinds = KINDS.map(([word, label]) => {
    const one = tick({ label, pick: (on) => choose({ kinds: KINDS.map(([each]) => each).filter((each) => (each === word ? on : wanted().includes(each))) }) });
    return { word, ...one };
  });
  const printer = printerList({ chosen: () => choices.kept.printer, choose: (name) => choose({ printer: name }), unit: () => painting.view.unit });
  const pictures = h('ol', { class: 'sheets' });
  const remark = h('p', { class: 'remark', role: 'status' });
  const seamLines = seams(desk);
  const waits = h('p', { class: 'remark' }, 'The reference sheets wait for the photo.');
  const caution = h('p', { class: 'hint' }, 'Print at actual size: first the sheet “Scale bars” alone (it can be ticked above), and measure its bars before the rest. Cut away from your hand, along a steel rule.');

  const ratio = list({ label: 'Its size to the canvas’s', pick: (value) => wish({ ratio: value }) });
  ratio.fill([['', RATIOS.map(([value, name]) => [value, name])]]);
  const notTrue = h('p', { class: 'hint' }, 'Not true size, for a canvas too large to print: each sheet bears the setting of proportional dividers. Seams run by themselves.');
  const tones = toneChoice({ legend: 'Shown as', painting: painting.state.id, change: (to) => wish({ tones: { ...wishes.tones, ...to } }) });
  const turns = [tick({ label: 'In a mirror', pick: (on) => wish({ mirror: on }) }), tick({ label: 'Upside down', pick: (on) => wish({ upside: on }) })];
  const landmarks = tick({ label: 'Landmarks marked on them', pick: (on) => wish({ landmarks: on }) });
  const likeness = tick({ label: 'Leave out sheets of background alone', pick: (on) => wish({ likeness: on }) });
  const leftOut = h('p', { class: 'hint' });
  const turnedNames = h('p', { class: 'hint' }, 'Turned sheets are named in the order in which they are joined, which the canvas on the wall does not show.');
  const seamPart = h('div', { class: 'stack' }, seamLines.element);
  const ofReference = h('section', { class: 'stack ruled' }, h('h3', {}, 'Reference and detail sheets'),
    ratio.element, notTrue, tones.element, row(...turns.map(({ element }) => element)), turnedNames, lines.element, landmarks.element, likeness.element, leftOut, seamPart);

  choices.addEventListener('change', () => {
    void printer.fill();
    showWishes();
    desk.refresh();
  });

  /** Shows what is kept. */
  function showWishes() {
    for (const { word, set } of kinds) set(wanted().includes(word));
    const isTrueSize = wishes.ratio === '1:1';
    const isTurned = wishes.mirror || wishes.upside;
    ratio.set(wishes.ratio);
    notTrue.hidden = isTrueSize;
    tones.set(wishes.tones);
    turns[0]?.set(wishes.mirror);
    turns[1]?.set(wishes.upside);
    turnedNames.hidden = !isTurned;
    likeness.set(wishes.likeness);
    landmarks.set(wishes.landmarks);
    leftOut.hidden = !wishes.likeness;
    // Seams put on the canvas are those of sheets at true size.
    seamPart.hidden = !isTrueSize;
    if (!isOpen) return;
    sight.want({ seams: isTrueSize, sheetNames: !isTurned });
    if (isTrueSize) seamLines.open();
    else seamLines.close();
  }

  /** @returns {URLSearchParams} */
  function query() {
    const asked = new URLSearchParams({ kinds: wanted().join(',') });
    if (choices.kept.printer) asked.set('printer', choices.kept.printer);
    const show = [toneText(wishes.tones), wishes.mirror && 'mirror', wishes.upside && 'upside-down'].filter(Boolean).join();
    if (show !== 'photo') asked.set('show', show);
    if (wishes.ratio !== '1:1') asked.set('ratio', wishes.ratio);
    if (wishes.landmarks) asked.set('landmarks', 'true');
    if (wishes.likeness) asked.set('likeness_only', 'true');
    return asked;
  }

  /** What would be printed, to tell whether it is still the same. */
  const asked = () => `${painting.state.revision} ${query()}`;

  let drawnFor = '';
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;
  let drawing = new AbortController();
  /** Whether the sheets asked for last have come, or been refused. */
  let answered = true;
  function refresh() {
    if (!isOpen) return;
    const what = asked();
    if (what === drawnFor) return;
    drawnFor = what;
    clearTimeout(rest);
    drawing.abort();
    drawing = new AbortController();
    answered = false;
    rest = setTimeout(() => void drawSheets(drawing.signal), AT_REST);
  }

  /** @param {AbortSignal} signal */
  async function drawSheets(signal) {
    setSentence(remark, 'Drawing the sheets.');
    try {
      const sheets = await server.sheets(painting.state.id, query(), signal);
      answered = true;
      trouble.say('');
      const none = KINDS.filter(([word]) => wanted().includes(word) && !sheets.some(({ kind }) => kind === word)).map(([, label]) => label);
      setSentence(remark, [sheets.length === 1 ? '1 sheet in the packet.' : `${sheets.length} sheets in the packet.`,
        none.length ? `Nothing yet for: ${none.join('; ')}.` : ''].filter(Boolean).join(' '));
      pictures.replaceChildren(...sheets.map((sheet) => sheetPicture(sheet, hang)));
    } catch (error) {
      if (error instanceof DOMException && error.name === 'AbortError') return;
      if (!(error instanceof server.Refusal)) throw error;
      answered = true;
      drawnFor = '';
      setSentence(remark, '');
      pictures.replaceChildren();
      trouble.say(error.message);
    }
  }

  showWishes();
  return {
    panel: h('div', { class: 'stack' },
      paper.element, row(margin.element, lap.element), printer.element, ofReference,
      h('fieldset', { class: 'choice' }, h('legend', {}, 'In the packet'), h('div', { class: 'column' }, ...kinds.map(({ element }) => element))),
      trouble.element,
      h('section', { class: 'stack ruled' }, h('h3', {}, 'The sheets'), waits, remark, pictures, caution)),
    update(view) {
      waits.hidden = Boolean(view.reference);
      landmarks.element.hidden = !view.likeness.landmarks.length && !view.reference?.head;
      setSentence(leftOut, view.reference?.head || view.details.length || view.likeness.landmarks.length
        ? 'Those with neither the head nor a detail box nor a landmark. Look at the pictures below: hair or a hand may be on one of them.'
        : 'None is left out until the head, a detail box or a landmark is marked.');
      ofReference.hidden = !view.sheets;
      paper.set(view.printing.paper);
      margin.set(view.printing.margin);
      lap.set(view.printing.lap);
      lines.set(view.printing.lines ? 'with' : 'without');
      if (!painting.tried) void tones.follow(wishes.tones, view.unit);
      seamLines.update(view);
      refresh();
    },
    open() {
      isOpen = true;
      showWishes();
      void printer.fill();
      refresh();
    },
    close() {
      isOpen = false;
      if (!answered) {
        // Nobody waits for them any more; they are asked for anew when the line is opened again.
        clearTimeout(rest);
        drawing.abort();
        drawnFor = '';
      }
      seamLines.close();
      hang(null);
    },
    asked,
    packet: (signal) => server.packet(painting.state.id, query(), signal),
  };
}

/** @param {Sheet} sheet @param {(sheet: Sheet) => void} hang */
function sheetPicture(sheet, hang) {
  const name = `${sheet.kind[0]?.toUpperCase()}${sheet.kind.slice(1)}`;
  const label = sheet.label.toLowerCase().includes(sheet.kind) ? sheet.label : `${name} ${sheet.label}`;
  const picture = h('img', { src: sheet.picture, alt: '', loading: 'lazy', width: Math.round(sheet.width_mm), height: Math.round(sheet.height_mm) });
  const press = button('', () => hang(sheet), { name: `Look at the sheet ${label}`, kind: 'quiet' });
  press.replaceChildren(picture, h('span', {}, label));
  return h('li', {}, press);
}
