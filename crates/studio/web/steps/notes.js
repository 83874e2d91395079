// Notes: what the painter wants to find again when she comes back to this painting. Kept in its file, printed nowhere.

import * as server from '../server.js';
import { button } from '../parts/controls.js';
import { h, setText } from '../parts/dom.js';
import { joined } from '../parts/joined-texts.js';
import { unsent } from '../parts/unsent.js';

/** @import { Desk, Step } from '../desk.js' */

/** What was typed is kept once the keys have been at rest for this long, in ms. */
const AT_REST = 1000;
/** What could not be kept is tried again after this long, in ms. */
const AGAIN = 3000;
/** The most letters that are kept. */
const MOST = 50_000;
/** So much of the first line stands in the notebook. */
const SHOWN = 90;

/** @param {Desk} desk @param {string} noted what is kept when the page is laid @returns {Step & { sentence: () => string }} */
export function notes(desk, noted) {
  const { painting } = desk;
  const trouble = h('p', { class: 'trouble', role: 'alert' });
  const area = h('textarea', { id: 'notes', class: 'notes', rows: 12, maxlength: MOST, spellcheck: true, oninput: typed, onblur: () => void keep() });
  const today = button('Begin with today’s date', () => {
    const day = new Date().toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' });
    const before = area.value.trimEnd();
    area.value = `${before}${before ? '\n\n' : ''}${day}: `;
    area.focus();
    area.setSelectionRange(area.value.length, area.value.length);
    area.scrollTop = area.scrollHeight;
    typed();
  }, { kind: 'quiet' });

  /** What the studio keeps, as far as it is known here. */
  let kept = noted;
  area.value = kept;

  let sending = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;
  function typed() {
    clearTimeout(rest);
    if (area.value !== kept) unsent.set(area, 'Not saved yet');
    rest = setTimeout(() => void keep(), AT_REST);
  }

  /** Shows a text that is another than what is typed; the caret stays where it was in it. @param {string} text */
  function show(text) {
    if (text === area.value) return;
    const [caret, longer] = [area.selectionStart, text.length - area.value.length];
    const isBefore = !text.startsWith(area.value.slice(0, caret));
    area.value = text;
    if (document.activeElement === area) area.setSelectionRange(caret + (isBefore ? longer : 0), caret + (isBefore ? longer : 0));
  }

  /** Has the studio keep what is typed. Nothing that is typed is given up until the studio has it. */
  async function keep() {
    clearTimeout(rest);
    if (sending) return;
    sending = true;
    try {
      while (area.value !== kept) {
        const text = area.value;
        const answer = await server.keepNotes(painting.state.id, kept, text);
        if (!answer.kept) show(joined(kept, area.value, answer.notes).slice(0, MOST));
        kept = answer.notes;
      }
      setText(trouble, '');
      unsent.set(area, '');
    } catch (error) {
      if (!(error instanceof server.Refusal)) throw error;
      setText(trouble, error.message);
      unsent.set(area, 'Not saved: your notes');
      rest = setTimeout(() => void keep(), AGAIN);
    } finally {
      sending = false;
    }
    desk.refresh();
  }

  /** Shows what was written elsewhere, unless something is being written here. */
  async function follow() {
    if (sending || area.value !== kept) return;
    const now = await server.notes(painting.state.id).catch(() => null);
    if (!now || sending || area.value !== kept) return;
    kept = now.notes;
    show(kept);
    desk.refresh();
  }
  painting.addEventListener('chosen', () => void follow());
  // Nothing is heard while the page is not seen.
  document.addEventListener('visibilitychange', () => document.hidden || void follow());

  return {
    panel: h('div', { class: 'stack' },
      h('label', { class: 'field-label', for: 'notes' }, 'Pose, light, the client’s wishes, pigments, what comes next'), area, today, trouble,
      h('p', { class: 'hint' }, 'Kept in the painting’s file by itself. Nothing of it is printed.')),
    update() {},
    open() {},
    close() { void keep(); },
    sentence() {
      const [first = ''] = kept.trim().split('\n');
      return first.length > SHOWN ? `${first.slice(0, SHOWN)} …` : first || 'Nothing noted yet';
    },
  };
}
