// The controls of the notebook: fields for lengths and numbers, choices, ticks and buttons, each with its label, and
// each with the sentence beneath it that says why what was typed cannot be.

import { Refusal } from '../server.js';
import { freshId, h, setText } from './dom.js';
import { parted, setSentence, withUnit } from './measure.js';
import { stepping } from './stepping.js';
import { unsent } from './unsent.js';

/** Where fields stand side by side. */
const CROWDS = '.row, .pairs, .about';

/** A number with a decimal point. */
const NUMBER = /^[-+]?\d+(\.\d+)?$/;
/** A number without a fraction. */
const WHOLE = /^[-+]?\d+(\.0+)?$/;

/** @typedef {(text: string) => Promise<unknown> | void} Commit */
/** @typedef {ReturnType<typeof list>} List */

/**
 * A field with its label and unit. What is typed is committed on Enter or on leaving; Escape gives it up.
 * @param {{ label: string, commit: Commit, unit?: string, kind?: 'length' | 'number' | 'whole' | 'text', wide?: boolean,
 *           hint?: string, wants?: string }} options `wants` says what may stand in a field that cannot be empty
 */
export function field({ label, commit, unit = '', kind = 'length', wide = false, hint, wants }) {
  const id = freshId('field');
  const isNumber = kind === 'number' || kind === 'whole';
  let shown = '';
  const input = h('input', {
    id,
    // Numbers too: a browser's own field for them makes 25 of “2,5”, and nothing of letters.
    type: 'text',
    inputmode: isNumber ? 'decimal' : null,
    class: kind === 'text' ? 'words' : 'figures',
    autocomplete: 'off',
    spellcheck: 'false',
    'aria-describedby': `${unit || kind === 'length' ? `${id}-unit ` : ''}${id}-trouble`,
    oninput: () => unsent.typed(input, shown),
    onchange: () => void leave(),
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== 'Escape') return;
      event.stopPropagation();
      giveUp();
    },
  });
  stepping.addEventListener('stepped', () => input.hasAttribute('aria-invalid') && giveUp());
  const typeset = h('span', { class: 'typeset', 'aria-hidden': 'true' });
  const sign = h('span', { class: 'unit', id: `${id}-unit` }, unit);
  const trouble = h('p', { class: 'trouble', id: `${id}-trouble`, role: 'alert' });
  const element = h('div', { class: wide ? 'field wide' : 'field' },
    h('label', { for: id }, label),
    h('div', { class: kind === 'length' ? 'entry length' : 'entry' }, input, kind === 'length' ? typeset : null, unit || kind === 'length' ? sign : null),
    hint && h('p', { class: 'hint' }, hint),
    trouble);

  /** @param {string} message */
  function say(message) {
    setSentence(typeset, input.value);
    if (!message && !trouble.textContent) return;
    // A narrow field stands among others: what is wrong with it takes the width of them all.
    (element.closest(CROWDS) ?? element).append(trouble);
    trouble.textContent = message;
    if (message) input.setAttribute('aria-invalid', 'true');
    else input.removeAttribute('aria-invalid');
  }

  /** Shows again what stands. */
  function giveUp() {
    input.value = shown;
    unsent.set(input, '');
    say('');
  }

  async function leave() {
    unsent.set(input, '');
    if (input.value === shown) return say('');
    const typed = input.value;
    if (wants && !typed.trim()) return say(`This is empty. Write ${wants}.`);
    const number = typed.trim().replace(',', '.').replace('−', '-');
    if (isNumber && number && !NUMBER.test(number)) return say(`“${typed}” is not a number.`);
    if (kind === 'whole' && number && !WHOLE.test(number)) return say(`“${typed}” is not a whole number.`);
    try {
      await commit(isNumber ? number : kind === 'length' && typed.trim() ? withUnit(typed, sign.textContent || '') : typed);
      // What was typed as 2.25 stands as 2 1/4, unless more has been typed meanwhile.
      if (input.value === typed) input.value = shown;
      say('');
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      say(beside(error));
    }
  }

  return {
    element, input,
    /** Shows a value; what is being typed, or was refused, is left alone. @param {string} text */
    set(text) {
      const [number, own] = kind === 'length' ? parted(text) : [text, ''];
      if (own) setText(sign, own);
      const typing = document.activeElement === input && input.value !== shown;
      const refused = input.hasAttribute('aria-invalid');
      if (number !== shown || !(typing || refused)) {
        shown = number;
        if (typing) return;
        giveUp();
      }
    },
    /** Whether something else stands in it than what was shown: it is being typed, or was refused. */
    get differs() { return input.value !== shown; },
    /** The unit that a bare number takes. @param {string} text */
    setUnit(text) { setText(sign, text); },
    say,
  };
}

/**
 * One of a few, as words side by side.
 * @template {string} V
 * @param {{ legend: string, options: [value: V, label: string][], pick: (value: V) => void, hideLegend?: boolean }} options
 */
export function choice({ legend, options, pick, hideLegend = false }) {
  const name = freshId('choice');
  const inputs = options.map(([value, label]) => {
    const input = h('input', { type: 'radio', name, value, onchange: () => pick(value) });
    return { value, input, label: h('label', { class: 'option' }, input, h('span', {}, label)) };
  });
  const element = h('fieldset', { class: 'choice words' },
    h('legend', { class: hideLegend ? 'unseen' : null }, legend),
    h('div', { class: 'options' }, ...inputs.map(({ label }) => label)));
  return {
    element,
    /** @param {V | null} value */
    set(value) {
      for (const option of inputs) option.input.checked = option.value === value;
    },
  };
}

/**
 * Something that is so or not.
 * @param {{ label: string, pick: (on: boolean) => void }} options
 */
export function tick({ label, pick }) {
  const input = h('input', { type: 'checkbox', onchange: () => pick(input.checked) });
  const element = h('label', { class: 'tick' }, input, h('span', {}, label));
  return {
    element, input,
    /** @param {boolean} on */
    set(on) { input.checked = on; },
  };
}

/**
 * One of many, as a list that opens.
 * @param {{ label: string, pick: (value: string) => void }} options
 */
export function list({ label, pick }) {
  const id = freshId('list');
  const select = h('select', { id, onchange: () => pick(select.value) });
  const element = h('div', { class: 'field wide' }, h('label', { for: id }, label), select);
  return {
    element, select,
    /** @param {[group: string, options: [value: string, label: string][]][]} groups */
    fill(groups) {
      const entries = (/** @type {[string, string][]} */ options) => options.map(([value, text]) => h('option', { value }, text));
      select.replaceChildren(...groups.flatMap(([group, options]) =>
        group ? [h('optgroup', { label: group }, ...entries(options))] : entries(options)));
    },
    /** @param {string} value */
    set(value) { select.value = value; },
  };
}

/**
 * @param {string} label
 * @param {() => void} act
 * @param {{ name?: string, kind?: 'plain' | 'next' | 'quiet', repeats?: boolean }} [options] `name` is what is read out in place of
 *   the label; one that repeats goes on acting while it is held
 */
export function button(label, act, { name, kind = 'plain', repeats = false } = {}) {
  const press = h('button', { type: 'button', class: kind, 'aria-label': name, onclick: act }, label);
  if (repeats) actWhileHeld(press, act);
  return press;
}

/** A button held so long, in ms, acts again, and from then on every so often (common practice, no source). */
const [HELD, EVERY] = [400, 60];

/** @param {HTMLButtonElement} press @param {() => void} act */
function actWhileHeld(press, act) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let next;
  let acted = false;
  const again = () => {
    if (!press.isConnected) return;
    acted = true;
    act();
    next = setTimeout(again, EVERY);
  };
  const end = () => clearTimeout(next);
  press.addEventListener('pointerdown', ({ button: which }) => {
    end();
    acted = false;
    if (which === 0) next = setTimeout(again, HELD);
  });
  for (const ending of ['pointerup', 'pointerleave', 'pointercancel', 'blur']) press.addEventListener(ending, end);
  // Letting go is no further press, nor is a long touch a wish for a menu.
  press.addEventListener('click', (event) => {
    if (acted) event.stopImmediatePropagation();
    acted = false;
  }, { capture: true });
  press.addEventListener('contextmenu', (event) => acted && event.preventDefault());
}

/** What is said beside the control; that a painting was changed elsewhere is said at the notebook's head. @param {Refusal} refusal */
const beside = (refusal) => (refusal.state ? '' : refusal.message);

/** Controls side by side. @param {...import('./dom.js').Child} children */
export const row = (...children) => h('div', { class: 'row' }, ...children);

/**
 * A line that says why what was asked cannot be; `act` runs something and lets the line say so. What it says is brought into sight. Where
 * it is asked of a painting, what was chosen and cannot be is not shown as chosen, and the line goes when something else was done to it.
 * @param {import('../painting.js').Painting} [painting]
 */
export function troubleLine(painting) {
  const element = h('p', { class: 'trouble', role: 'alert' });
  /** @param {string} message */
  function say(message) {
    element.textContent = message;
    if (message) element.scrollIntoView({ block: 'nearest' });
  }
  let { revision } = painting?.state ?? {};
  painting?.addEventListener('state', () => {
    if (painting.state.revision !== revision) say('');
    ({ revision } = painting.state);
  });
  return {
    element,
    /** Gives a promise that comes in any case, with what was asked for or without. @param {Promise<unknown>} promise @returns {Promise<unknown>} */
    act(promise) {
      say('');
      return promise.catch((error) => {
        if (!(error instanceof Refusal)) throw error;
        say(beside(error));
        painting?.showAgain();
      });
    },
    say,
  };
}
