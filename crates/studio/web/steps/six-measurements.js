// Part of step 2: the four sides and two diagonals of the real canvas, with a drawing that says which is which, what
// they imply, and whether they contradict each other.

import { Refusal } from '../server.js';
import { UNIT_SIGN, setSentence } from '../parts/measure.js';
import { button, field, troubleLine } from '../parts/controls.js';
import { h, s } from '../parts/dom.js';
import { stepping } from '../parts/stepping.js';
import { unsent } from '../parts/unsent.js';

/** @import { View } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** In the order in which the server lists them. */
const NAMES = /** @type {const} */ (['top', 'right', 'bottom', 'left', 'down', 'up']);
/** @type {Record<typeof NAMES[number], string>} */
const LABELS = { top: 'Top', right: 'Right', bottom: 'Bottom', left: 'Left', down: 'Down', up: 'Up' };
/** The drawing is no wider and no higher than this, in its own unit, which is a CSS pixel. */
const [WIDEST, HIGHEST] = [190, 150];
/** Room around it for the names of the sides: above and below, left and right. */
const [ABOVE, BESIDE] = [18, 40];
/** A diagonal's name stands beside it, so far along it, and clear of the side that it starts from. */
const [NAME_ALONG, NAME_CLEAR] = [0.16, 16];

/** @param {Desk} desk */
export function sixMeasurements({ painting }) {
  const trouble = troubleLine(painting);
  /** What is typed and not yet entered, by name. @type {Record<string, string>} */
  let typed = {};
  /** Tells the notebook's head that something is. */
  const typedHere = {};
  const fields = NAMES.map((name) => field({
    label: name === 'down' ? 'Diagonal down ↘' : name === 'up' ? 'Diagonal up ↗' : LABELS[name],
    commit: (text) => enter(name, text),
  }));
  const lines = NAMES.map((name) => s('path', { class: name === 'down' || name === 'up' ? 'slant' : null }));
  const names = NAMES.map((name) => {
    const anchor = name === 'left' ? 'end' : name === 'top' || name === 'bottom' ? 'middle' : 'start';
    return s('text', { 'text-anchor': anchor }, LABELS[name]);
  });
  fields.forEach(({ input }, index) => {
    input.addEventListener('focus', () => point(index));
    input.addEventListener('blur', () => point(-1));
  });
  const drawing = s('svg', { class: 'six', role: 'img', 'aria-label': 'A canvas from the front: top, right, bottom and left sides; the diagonal down from the top left corner, and the diagonal up from the bottom left corner' },
    ...lines, ...names);
  const progress = h('p', { class: 'remark', role: 'status' });
  const implies = h('div');
  const forget = button('Forget the measurements', () => {
    giveUp();
    trouble.act(painting.edit({ canvas: { do: 'forget' } }));
  }, { kind: 'quiet' });
  const [top, right, bottom, left, down, up] = fields.map(({ element }) => element);
  const element = h('section', { class: 'stack ruled' },
    h('h3', {}, 'As measured on the canvas'),
    h('p', { class: 'hint' }, 'A canvas is seldom true. Measure its four sides and two diagonals, from the front, to the corners.'),
    drawing,
    h('div', { class: 'pairs' }, top, bottom, left, right, down, up),
    progress, implies, trouble.element, forget);

  stepping.addEventListener('stepped', () => {
    giveUp();
    show(painting.view);
  });

  /** What the painting holds is to be shown, whatever was typed. */
  function giveUp() {
    typed = {};
    trouble.say('');
    unsent.set(typedHere, '');
  }

  /** Draws the canvas in its own proportions. @param {View['canvas']['outline']} outline in mm */
  function draw([, right, far, low]) {
    const [across, down] = [Math.max(right[0], far[0]), Math.max(far[1], low[1])];
    const scale = Math.min(WIDEST / across, HIGHEST / down);
    const [wide, tall] = [across * scale, down * scale];
    const share = Math.max(NAME_ALONG, NAME_CLEAR / tall);
    /** @type {Record<typeof NAMES[number], [line: string, x: number, y: number]>} */
    const drawn = {
      top: [`M0 0H${wide}`, wide / 2, -7],
      right: [`M${wide} 0V${tall}`, wide + 6, tall / 2 + 4],
      bottom: [`M0 ${tall}H${wide}`, wide / 2, tall + 15],
      left: [`M0 0V${tall}`, -6, tall / 2 + 4],
      down: [`M0 0L${wide} ${tall}`, wide * share + 6, tall * share],
      up: [`M0 ${tall}L${wide} 0`, wide * share + 6, tall * (1 - share) + 9],
    };
    NAMES.forEach((name, index) => {
      const [line, x, y] = drawn[name];
      lines[index]?.setAttribute('d', line);
      names[index]?.setAttribute('x', String(x));
      names[index]?.setAttribute('y', String(y));
    });
    const [width, height] = [wide + 2 * BESIDE, tall + 2 * ABOVE];
    drawing.setAttribute('viewBox', `${-BESIDE} ${-ABOVE} ${width} ${height}`);
    drawing.setAttribute('width', String(width));
    drawing.setAttribute('height', String(height));
  }

  /** @param {number} index */
  function point(index) {
    lines.forEach((line, at) => line.classList.toggle('pointed', at === index));
    names.forEach((name, at) => name.classList.toggle('pointed', at === index));
  }

  /** Enters all six once they are there. @param {string} name @param {string} text */
  async function enter(name, text) {
    typed[name] = text;
    const known = painting.view.canvas.measured;
    unsent.set(typedHere, known || Object.values(typed).some(Boolean) ? 'Not kept yet' : '');
    const all = NAMES.map((each, index) => typed[each] ?? known?.[index] ?? '');
    if (all.some((each) => !each)) return show(painting.view);
    const [first = '', second = '', third = '', fourth = '', fifth = '', sixth = ''] = all;
    try {
      await painting.edit({ canvas: { do: 'measure', top: first, right: second, bottom: third, left: fourth, down: fifth, up: sixth } });
      giveUp();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      // What was typed stays: it may be another of the six that is wrong.
      trouble.say(error.state ? '' : error.message);
    }
    show(painting.view);
  }

  /** @param {View} view */
  function show({ canvas, unit }) {
    draw(canvas.outline);
    NAMES.forEach((name, index) => {
      fields[index]?.setUnit(UNIT_SIGN[unit]);
      fields[index]?.set(typed[name] ?? canvas.measured?.[index] ?? '');
    });
    const missing = canvas.measured ? 0 : NAMES.filter((name) => !typed[name]).length;
    const some = missing > 0 && missing < NAMES.length;
    setSentence(progress, some ? `${missing} more to measure; they are kept once all six are there.` : '');
    const sentences = [canvas.contradiction, ...canvas.implies].filter((sentence) => sentence !== null);
    while (implies.children.length > sentences.length) implies.lastElementChild?.remove();
    while (implies.children.length < sentences.length) implies.append(h('p', { class: 'remark' }));
    sentences.forEach((sentence, index) => {
      const line = implies.children[index];
      if (line) setSentence(line, sentence);
      line?.classList.toggle('doubt', sentence === canvas.contradiction);
    });
    forget.hidden = !canvas.measured;
  }

  return { element, update: show };
}
