// A field to find a painting by on a shelf that has many.

import { h, setText } from './dom.js';

/** From so many paintings on they are no longer found at a glance. */
const MANY = 9;

/** @param {() => void} changed */
export function finding(changed) {
  const input = h('input', { id: 'find', type: 'search', autocomplete: 'off', spellcheck: 'false', oninput: changed });
  const none = h('p', { role: 'status' });
  const element = h('div', { class: 'finding', hidden: true }, h('label', { for: 'find' }, 'Find a painting'), input, none);
  const plain = (/** @type {string} */ text) => text.toLocaleLowerCase().normalize('NFD').replace(/\p{M}/gu, '').replace(/[’']/g, '');
  return {
    element,
    /** @param {number} count of paintings on the shelf */
    show(count) {
      element.hidden = count < MANY;
      if (element.hidden) input.value = '';
    },
    clear() { input.value = ''; },
    /** @param {boolean} some whether any is found */
    say(some) { setText(none, some ? '' : 'None of that name.'); },
    /** Whether all words that are sought are among these. @param {string} words */
    suits: (words) => plain(input.value).split(/\s+/).every((sought) => plain(words).includes(sought)),
  };
}
