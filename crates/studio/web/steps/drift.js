// Part of the check: what has drifted, as a whole and on its own; proportions and values of painting and reference.

import { h } from '../parts/dom.js';
import { sentenceParts, setSentence } from '../parts/measure.js';

/** @import { CheckView, DriftView, ValueCheckView } from '../api.js' */

/** Values that differ by less than this many steps are no news; it stands in words where none does. */
const TOLD_STEPS = 0.5;
/** The most boxes whose values are told. */
const MOST_BOXES = 8;

export function drift() {
  const changed = h('p', { class: 'remark' });
  const sentence = h('p', { class: 'remark' });
  const whole = h('div', {});
  const own = h('ul', { class: 'checked-lines' });
  const proportions = h('div', {});
  const values = h('div', { class: 'stack' });
  const element = h('div', { class: 'stack' }, h('h3', {}, 'Drift'), changed, sentence, whole, own, proportions, values);
  return {
    element,
    /** @param {CheckView} check */
    show(check) {
      const found = check.drift;
      setSentence(changed, [check.doubt, check.plan_changed].filter(Boolean).join(' '));
      setSentence(sentence, found ? found.sentence : 'Set at least three landmarks, and what has drifted is told here.');
      whole.replaceChildren(...(found ? [wholeTable(found), h('p', { class: 'hint' }, 'Place and size are counted from the middle of the landmarks that are set.'),
        ...found.remarks.map((told) => h('p', { class: 'remark' }, told)),
        ...(found.own.some((one) => one.stands_out) ? [h('p', { class: 'hint' }, 'On the picture crosses are where features are planned, dots where they are painted. An arrow begins at the dot and points the way that the feature has drifted, three times as far: put it back against the arrow.')] : [])] : []));
      own.replaceChildren(...(found ? ownItems(found.own) : []));
      proportions.replaceChildren(...(check.proportions.length ? [h('h3', {}, 'Measures of both'), proportionTable(check)] : []));
      values.replaceChildren(...(check.values && found ? valueParts(check.values) : []));
    },
  };
}

/** @param {DriftView} found */
function wholeTable({ whole }) {
  return table(['As a whole', '', 'give or take'], whole.map(({ what, told, give_or_take: give, surely }) => ({
    head: what, cells: [told, give], mild: !surely,
  })));
}

/** Those that are in their places share an entry. @param {DriftView['own']} own */
function ownItems(own) {
  const inPlace = own.filter((one) => one.in_place);
  if (inPlace.length < 2) return own.map(ownItem);
  const off = own.filter((one) => !one.in_place);
  return [...off.map(ownItem),
    h('li', { class: 'own' }, h('p', {}, h('b', {}, off.length ? `${inPlace.length} others` : `All ${inPlace.length}`), ` in their places, as far as can be told: ${inPlace.map(({ name }) => name).join(', ')}.`))];
}

/** @param {DriftView['own'][number]} one */
function ownItem({ name, words, stands_out: out, set_aside: aside }) {
  return h('li', { class: out ? 'own out' : 'own' },
    h('p', {}, h('b', {}, name), ' ', ...sentenceParts(words)),
    aside ? h('p', { class: 'hint' }, 'Not counted for the whole, lying further off it than the others.') : null);
}

/** @param {CheckView} check */
const proportionTable = ({ proportions }) => table(['', 'Reference', 'Painting'], proportions.map(({ what, reference, painting, differs }) => ({
  head: what, cells: [reference, painting], mild: !differs,
})));

/** @param {ValueCheckView} values @returns {(Node | string)[]} */
function valueParts({ exposure, boxes }) {
  const differing = boxes.map((box) => ({ ...box, off: box.painting - box.reference }))
    .filter(({ off }) => Math.abs(off) >= TOLD_STEPS)
    .sort((a, b) => Math.abs(b.off) - Math.abs(a.off))
    .slice(0, MOST_BOXES);
  return [
    h('h3', {}, 'Values by grid box'),
    h('p', { class: 'hint' }, `For orientation only, on the Munsell scale: a photo of wet paint is no measurement. ${exposure}`),
    differing.length
      ? table(['Box', 'Reference', 'Painting', ''], differing.map(({ name, reference, painting, off }) => ({
        head: name, cells: [reference.toFixed(1), painting.toFixed(1), `${Math.abs(off).toFixed(1)} ${off < 0 ? 'darker' : 'lighter'}`], mild: false,
      })))
      : h('p', {}, 'No box differs by half a value or more.'),
  ];
}

/** @param {string[]} heads @param {{ head: string, cells: string[], mild: boolean }[]} rows */
function table(heads, rows) {
  const [first = '', ...others] = heads;
  const corner = first ? h('th', { scope: 'col' }, first) : h('td', {});
  return h('table', { class: 'plots' },
    h('thead', {}, h('tr', {}, corner, ...others.map((head) => (head ? h('th', { scope: 'col' }, head) : h('td', {}))))),
    h('tbody', {}, ...rows.map(({ head, cells, mild }) => h('tr', { class: mild ? 'inside' : '' },
      h('th', { scope: 'row' }, head), ...cells.map((cell) => h('td', {}, ...sentenceParts(cell)))))));
}
