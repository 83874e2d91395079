// Part of step 6: the painter's printers, each with what its two 100 mm scale bars measured. Kept with the studio, not
// with the painting.

import * as server from '../server.js';
import { button, field, list, row, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { setSentence } from '../parts/measure.js';

/** @import { Printer, Unit } from '../api.js' */

/** @param {{ chosen: () => string, choose: (name: string) => void, unit: () => Unit }} options `unit` is the painter's */
export function printerList({ chosen, choose, unit }) {
  const trouble = troubleLine();
  /** @type {Printer[]} */
  let printers = [];
  const names = list({ label: 'Printer', pick: (name) => { choose(name); show(); } });
  /** One that prints true, by the bars of the painter's unit. @returns {Printer} */
  const fresh = () => {
    const bar = unit() === 'inch' ? '4 in' : '100 mm';
    return { name: '', across: bar, along: bar };
  };
  /** The printer that is being described. */
  let draft = fresh();
  const name = field({ label: 'Its name', kind: 'text', wide: true, commit: (text) => { draft.name = text.trim(); name.set(draft.name); } });
  const across = field({ label: 'The level bar measures', commit: (text) => { draft.across = text; across.set(text); } });
  const along = field({ label: 'The upright bar measures', commit: (text) => { draft.along = text; along.set(text); } });
  const remove = button('Forget this printer', () => void save(printers.filter((each) => each.name !== chosen()), ''), { kind: 'quiet' });
  const form = h('div', { class: 'inset stack', hidden: true },
    h('p', { class: 'hint' }, 'Print the sheet “Scale bars” once, on paper held upright, and measure the two bars: to the tick of 100 mm, or of 4 in. Printers are kept in the folder with your paintings, not in a painting: Undo leaves them as they are.'),
    name.element, row(across.element, along.element),
    row(button('Keep it', keep, { kind: 'next' }), remove), trouble.element);
  const measure = h('button', { type: 'button', class: 'plain', 'aria-expanded': 'false', onclick: () => toggle(form.hidden) }, 'Measure a printer');
  const measured = h('p', { class: 'hint' });
  const element = h('div', { class: 'stack' }, row(names.element, measure), measured, form);

  /** @param {boolean} open */
  function toggle(open) {
    form.hidden = !open;
    measure.setAttribute('aria-expanded', String(open));
    if (open) describe();
  }

  /** Fills the form with the chosen printer, or with a new one. */
  function describe() {
    draft = { ...(printers.find((each) => each.name === chosen()) ?? fresh()) };
    name.set(draft.name);
    across.set(draft.across);
    along.set(draft.along);
    remove.hidden = !draft.name;
  }

  function keep() {
    if (!draft.name) return name.say('Give the printer a name, to tell it from others.');
    const old = chosen();
    void save([...printers.filter((each) => each.name !== old && each.name !== draft.name), { ...draft }], draft.name);
  }

  /** @param {Printer[]} changed @param {string} chosenThen */
  async function save(changed, chosenThen) {
    try {
      printers = await server.keepPrinters(changed);
      trouble.say('');
      choose(chosenThen);
      show();
      toggle(false);
    } catch (error) {
      if (!(error instanceof server.Refusal)) throw error;
      trouble.say(error.message);
    }
  }

  function show() {
    names.fill([['', [['', 'One that prints true'], ...printers.map((each) => /** @type {[string, string]} */ ([each.name, each.name]))]]]);
    names.set(chosen());
    const one = printers.find((each) => each.name === chosen());
    setSentence(measured, one ? `Its level bar measured ${one.across}, its upright bar ${one.along}; sheets are drawn so that they come out true.` : '');
    if (!form.hidden) describe();
  }

  return {
    element,
    async fill() {
      try {
        printers = await server.printers();
        if (chosen() && !printers.some((each) => each.name === chosen())) choose('');
      } catch (error) {
        if (!(error instanceof server.Refusal)) throw error;
        trouble.say(error.message);
      }
      show();
    },
  };
}
