// Notes: what the painter wants to find again when she comes back to this painting. Kept in its file, printed nowhere.

import { button, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { unsent } from '../parts/unsent.js';

/** @import { Desk, Step } from '../desk.js' */

/** What was typed is kept once the keys have been at rest for this long, in ms. */
const AT_REST = 1000;
/** The most letters that are kept. */
const MOST = 50_000;
/** So much of the first line stands in the notebook. */
const SHOWN = 90;

/**
 * What two windows made of the same notes: what each wrote at their end, or else both.
 * @param {string} before @param {string} here @param {string} elsewhere
 */
function joined(before, here, elsewhere) {
  if (elsewhere === before || elsewhere === here) return here;
  return here.startsWith(before) ? `${elsewhere}${here.slice(before.length)}` : `${elsewhere}\n\n${here}`;
}

/** @param {Desk} desk @returns {Step & { sentence: () => string }} */
export function notes(desk) {
  const { choices } = desk;
  const trouble = troubleLine();
  const area = h('textarea', { id: 'notes', class: 'notes', rows: 12, maxlength: MOST, spellcheck: true, oninput: typed });
  const today = button('Begin with today’s date', () => {
    const day = new Date().toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' });
    const before = area.value.trimEnd();
    area.value = `${before}${before ? '\n\n' : ''}${day}: `;
    area.focus();
    area.setSelectionRange(area.value.length, area.value.length);
    area.scrollTop = area.scrollHeight;
    typed();
  }, { kind: 'quiet' });
  /** What stood in the field when it was last one with what is kept. */
  let before = choices.kept.notes;
  area.value = before;

  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;
  function typed() {
    clearTimeout(rest);
    unsent.set(area, area.value === before ? '' : 'Not saved yet');
    rest = setTimeout(() => void keep(), AT_REST);
  }

  async function keep() {
    clearTimeout(rest);
    if (area.value !== before) {
      const text = joined(before, area.value, choices.kept.notes).slice(0, MOST);
      if (text !== area.value) area.value = text;
      before = text;
      await trouble.act(choices.change({ notes: text }));
    }
    follow();
  }

  /** Shows what was written elsewhere, unless something is being written here. */
  function follow() {
    if (area.value === before && before !== choices.kept.notes && document.activeElement !== area) {
      before = choices.kept.notes;
      area.value = before;
    }
    if (area.value === before) unsent.set(area, '');
    desk.refresh();
  }
  choices.addEventListener('change', follow);
  area.addEventListener('blur', () => void keep());

  return {
    panel: h('div', { class: 'stack' },
      h('label', { class: 'field-label', for: 'notes' }, 'Pose, light, the client’s wishes, pigments, what comes next'), area, today, trouble.element,
      h('p', { class: 'hint' }, 'Kept in the painting’s file by itself. Nothing of it is printed.')),
    update() {},
    open() {},
    close() {
      area.blur();
      void keep();
    },
    sentence() {
      const [first = ''] = choices.kept.notes.trim().split('\n');
      return first.length > SHOWN ? `${first.slice(0, SHOWN)} …` : first || 'Nothing noted yet';
    },
  };
}
