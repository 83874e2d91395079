// The head of the notebook: the painting's title, editable where it stands; whether all is saved; undo and redo.

import { Refusal } from './server.js';
import { byId, setText } from './parts/dom.js';
import { lower } from './parts/sentences.js';
import { stepping } from './parts/stepping.js';
import { unsent } from './parts/unsent.js';

/** @import { Painting } from './painting.js' */

/** @param {Painting} painting */
export function head(painting) {
  const title = /** @type {HTMLInputElement} */ (byId('title'));
  const saved = byId('saved');
  const notice = byId('notice');
  const again = byId('again');
  const [undo, redo] = /** @type {HTMLButtonElement[]} */ ([byId('undo'), byId('redo')]);
  let said = '';
  byId('to-easel').setAttribute('href', `/easel/${encodeURIComponent(painting.state.id)}`);

  title.addEventListener('input', () => unsent.typed(title, painting.state.title));
  title.addEventListener('change', () => {
    const typed = title.value;
    unsent.set(title, '');
    void act(painting.rename(typed).then(() =>
      say(`The painting’s file keeps its name, ${painting.state.file}.`)));
  });
  title.addEventListener('keydown', (event) => {
    if (event.key === 'Enter') title.blur();
    if (event.key !== 'Escape') return;
    title.value = painting.state.title;
    unsent.set(title, '');
    title.blur();
  });
  undo?.addEventListener('click', () => void act(step('undo')));
  redo?.addEventListener('click', () => void act(step('redo')));
  again.addEventListener('click', () => painting.retry());
  addEventListener('keydown', (event) => {
    const way = undoKey(event);
    if (!way) return;
    event.preventDefault();
    if (painting.state[way]) void act(step(way));
  });
  unsent.addEventListener('changed', update);
  addEventListener('beforeunload', (event) => {
    if (unsent.words || painting.waiting) event.preventDefault();
  });

  /** @param {'undo' | 'redo'} way */
  async function step(way) {
    const what = painting.state[way];
    await (way === 'undo' ? painting.undo() : painting.redo());
    stepping.dispatchEvent(new Event('stepped'));
    // It may be of another line of the notebook than the one that is open.
    if (what) say(`${way === 'undo' ? 'Taken back' : 'Made again'}: ${lower(what)}.`);
  }

  /** @param {Promise<unknown>} promise */
  async function act(promise) {
    try {
      await promise;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (error.status !== 409) say(error.message);
    }
    update();
  }

  /** @param {string} sentence */
  function say(sentence) {
    said = sentence;
    update();
  }

  function update() {
    const { state, saving } = painting;
    const notSaved = painting.notSaved ?? painting.notKept;
    if (document.activeElement !== title) title.value = state.title;
    document.title = `${state.title || 'Untitled'} · Mahlstick`;
    if (saving) said = '';
    setText(saved, saving ? 'Saving' : notSaved ? `Not saved: ${lower(notSaved)}` : unsent.words || 'Saved');
    again.hidden = !painting.notSaved;
    setText(notice, painting.notice ?? said);
    name(undo, 'Undo', state.undo);
    name(redo, 'Redo', state.redo);
  }

  return { update, say };
}

/**
 * A button that cannot be pressed keeps its focus and says so.
 * @param {HTMLButtonElement | undefined} button @param {string} word @param {string | null} what
 */
function name(button, word, what) {
  if (!button) return;
  button.setAttribute('aria-disabled', String(!what));
  button.setAttribute('aria-label', what ? `${word}: ${what}` : `${word}: nothing`);
  button.title = what ? `${word}: ${what}` : '';
}

/** The platform's keys for undo and redo; a field that is being typed in keeps its own. @param {KeyboardEvent} event */
function undoKey(event) {
  const typing = event.target instanceof HTMLTextAreaElement
    || (event.target instanceof HTMLInputElement && !['checkbox', 'radio', 'range'].includes(event.target.type));
  if (typing || !(event.ctrlKey || event.metaKey) || event.altKey) return null;
  const key = event.key.toLowerCase();
  if (key === 'z') return event.shiftKey ? 'redo' : 'undo';
  return key === 'y' && event.ctrlKey ? 'redo' : null;
}
