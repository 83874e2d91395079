// Step 6, Likeness: what is measured on the sitter: landmarks, measures, proportions, and how far the camera stood.

import { choice, field, troubleLine } from '../parts/controls.js';
import { dividers } from './dividers.js';
import { h } from '../parts/dom.js';
import { landmarks } from './landmarks.js';
import { measures } from './measures.js';
import { setSentence } from '../parts/measure.js';
import { values } from './values.js';

/** @import { View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @typedef {{ element: HTMLElement, update: (view: View) => void, open: () => void, close: () => void }} Part */

/** @param {Desk} desk @returns {Step} */
export function likeness(desk) {
  const { sight, stage } = desk;
  /** @type {Record<'landmarks' | 'measures' | 'proportions' | 'values' | 'dividers', Part>} */
  const parts = { landmarks: landmarks(desk), measures: measures(desk), proportions: proportions(desk), values: values(desk), dividers: dividers(desk) };
  /** @type {keyof typeof parts} */
  let part = 'landmarks';
  let isOpen = false;
  const choose = choice({
    legend: 'What is measured', hideLegend: true,
    options: /** @type {[keyof typeof parts, string][]} */ ([['landmarks', 'Landmarks'], ['measures', 'Measures'], ['proportions', 'Proportions'], ['values', 'Values'], ['dividers', 'Dividers']]),
    pick(value) {
      parts[part].close();
      part = value;
      turn();
    },
  });
  choose.set(part);
  const waits = h('p', { class: 'remark' }, 'Bring in the photo first, in line 1.');
  const body = h('div', { class: 'stack' }, choose.element, ...Object.values(parts).map(({ element }) => element));

  /** Shows the part that is open. */
  function turn() {
    for (const [key, { element }] of Object.entries(parts)) element.hidden = key !== part;
    if (isOpen) parts[part].open();
    stage.draw();
  }

  turn();
  return {
    panel: h('div', { class: 'stack' }, waits, body),
    update(view) {
      waits.hidden = Boolean(view.reference);
      body.hidden = !view.reference;
      for (const one of Object.values(parts)) one.update(view);
    },
    open() {
      isOpen = true;
      // Their lines would lie over the eyes that are to be hit.
      sight.want({ details: false });
      turn();
    },
    close() {
      isOpen = false;
      parts[part].close();
    },
  };
}

/** What the landmarks tell, beside what schools teach and what was measured on people. @param {Desk} desk @returns {Part} */
function proportions({ painting }) {
  const trouble = troubleLine(painting);
  const camera = h('p', { class: 'remark' });
  const lens = field({
    label: 'Lens, as on 35 mm film', unit: 'mm', kind: 'number',
    commit: (text) => painting.edit({ likeness: { do: 'lens', focal_35mm: text.trim() ? Number(text) : null } }),
  });
  const none = h('p', { class: 'remark' }, 'Place landmarks, and proportions are told here.');
  const found = h('ul', { class: 'kept' });
  let shown = '';
  return {
    element: h('div', { class: 'stack' },
      h('p', { class: 'hint' }, 'For information, not as a verdict: canons are starting guesses, people differ, and a turned head is foreshortened. ±: two thirds of people lie within it.'),
      none, found, h('h3', {}, 'The camera'), camera, lens.element, trouble.element),
    update(view) {
      const all = view.likeness.proportions;
      none.hidden = all.length > 0;
      setSentence(camera, painting.state.photo?.camera ?? '');
      lens.element.hidden = Boolean(painting.state.photo?.lens);
      lens.set(view.likeness.lens_35mm === null ? '' : String(view.likeness.lens_35mm));
      const what = JSON.stringify(all);
      if (what === shown) return;
      shown = what;
      found.replaceChildren(...all.map((one) => h('li', {},
        h('p', {}, `${one.what} `, h('b', {}, one.told)),
        h('p', { class: 'hint' }, [one.canon && `Canon: ${one.canon}`, one.measured.length && `Measured: ${one.measured.join('; ')}`].filter(Boolean).join('. ')),
        one.note && h('p', { class: 'hint' }, one.note))));
    },
    open: () => undefined,
    close: () => undefined,
  };
}
