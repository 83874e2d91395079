// Part of step 2: the four sides and two diagonals of the real canvas, with a drawing that says which is which, what
// they imply, and whether they contradict each other.

import { Refusal } from '../server.js';
import { UNIT_SIGN, setSentence } from '../parts/measure.js';
import { button, field, troubleLine } from '../parts/controls.js';
import { h, s } from '../parts/dom.js';

/** @import { View } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** In the order in which the server lists them. */
const NAMES = /** @type {const} */ (['top', 'right', 'bottom', 'left', 'down', 'up']);
/** @type {Record<typeof NAMES[number], [label: string, line: string, x: number, y: number]>} */
const DRAWN = {
  top: ['Top', 'M20 18H200', 110, 11],
  right: ['Right', 'M200 18V138', 206, 82],
  bottom: ['Bottom', 'M20 138H200', 110, 153],
  left: ['Left', 'M20 18V138', 14, 82],
  down: ['Down', 'M20 18L200 138', 66, 42],
  up: ['Up', 'M20 138L200 18', 66, 120],
};

/** @param {Desk} desk */
export function sixMeasurements({ painting }) {
  const trouble = troubleLine();
  /** What is typed and not yet entered, by name. @type {Record<string, string>} */
  let typed = {};
  const fields = NAMES.map((name) => field({
    label: name === 'down' ? 'Diagonal down ↘' : name === 'up' ? 'Diagonal up ↗' : DRAWN[name][0],
    commit: (text) => enter(name, text),
  }));
  const lines = NAMES.map((name) => s('path', { d: DRAWN[name][1], class: name === 'down' || name === 'up' ? 'slant' : null }));
  const names = NAMES.map((name) => {
    const [label, , x, y] = DRAWN[name];
    const anchor = name === 'left' ? 'end' : name === 'right' ? 'start' : 'middle';
    return s('text', { x, y, 'text-anchor': anchor }, label);
  });
  fields.forEach(({ input }, index) => {
    input.addEventListener('focus', () => point(index));
    input.addEventListener('blur', () => point(-1));
  });
  const drawing = s('svg', { viewBox: '-20 0 264 160', class: 'six', role: 'img', 'aria-label': 'A canvas from the front: top, right, bottom and left sides; the diagonal down from the top left corner, and the diagonal up from the bottom left corner' },
    ...lines, ...names);
  const progress = h('p', { class: 'remark', role: 'status' });
  const implies = h('div');
  const forget = button('Forget the measurements', () => {
    typed = {};
    trouble.act(painting.edit({ canvas: { do: 'forget' } }));
  }, { kind: 'quiet' });
  const [top, right, bottom, left, down, up] = fields.map(({ element }) => element);
  const element = h('section', { class: 'stack ruled' },
    h('h3', {}, 'As measured on the canvas'),
    h('p', { class: 'hint' }, 'A canvas is seldom true. Measure its four sides and two diagonals, from the front, to the corners.'),
    drawing,
    h('div', { class: 'pairs' }, top, bottom, left, right, down, up),
    progress, implies, trouble.element, forget);

  /** @param {number} index */
  function point(index) {
    lines.forEach((line, at) => line.classList.toggle('pointed', at === index));
    names.forEach((name, at) => name.classList.toggle('pointed', at === index));
  }

  /** Enters all six once they are there. @param {string} name @param {string} text */
  async function enter(name, text) {
    typed[name] = text;
    const known = painting.view.canvas.measured;
    const all = NAMES.map((each, index) => typed[each] ?? known?.[index] ?? '');
    if (all.some((each) => !each)) return show(painting.view);
    const [first = '', second = '', third = '', fourth = '', fifth = '', sixth = ''] = all;
    try {
      await painting.edit({ canvas: { do: 'measure', top: first, right: second, bottom: third, left: fourth, down: fifth, up: sixth } });
      typed = {};
      trouble.say('');
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      trouble.say(error.message);
    }
  }

  /** @param {View} view */
  function show({ canvas, unit }) {
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
