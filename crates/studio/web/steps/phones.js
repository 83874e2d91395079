// Part of the check: the phone a photo was taken with, and its lens, measured once on a photo of the lens card.

import * as server from '../server.js';
import { button, field, list, row, troubleLine } from '../parts/controls.js';
import { fileButton } from '../parts/files.js';
import { h, setText } from '../parts/dom.js';
import { keep, recall } from '../sight.js';

const SHELF = 'phone';

/** @param {(file: File, phone: string) => void} measure takes a photo of the lens card */
export function phones(measure) {
  /** The phone in use; blank while its lens is not measured. */
  let phone = recall(SHELF, '');
  let named = '';
  const trouble = troubleLine();
  const which = list({ label: 'Taken with', pick: (value) => choose(value) });
  const forget = button('Forget its lens', () => ask(true), { kind: 'quiet' });
  const forgetIt = button('Forget it', () => trouble.act(server.forgetLens(phone).then((kept) => { choose(''); fill(kept); })));
  const keepIt = button('Keep it', () => { ask(false); forget.focus(); }, { kind: 'quiet' });
  const asked = h('p', { class: 'hint' });
  const surely = h('div', { class: 'stack', hidden: true }, asked, row(forgetIt, keepIt));
  const measured = h('p', { class: 'remark', role: 'status' });
  const name = field({ label: 'The phone’s name', kind: 'text', wide: true, commit: (text) => { named = text.trim(); name.set(named); } });
  const card = fileButton('Choose a photo of the lens card', 'image/*', ([file]) => {
    if (!file) return;
    if (named) measure(file, named);
    else name.say('Give the phone a name first.');
  });
  const explained = h('p', { class: 'hint' }, 'Print the lens card in line 7, tape it flat, and photograph it once with each phone, from straight above so that it fills the picture. Every check with that phone is surer from then on.');
  const body = h('div', { class: 'inset stack', hidden: true }, explained, name.element, row(card.element));
  const opener = h('button', {
    type: 'button', class: 'plain', 'aria-expanded': 'false',
    onclick: () => {
      body.hidden = !body.hidden;
      opener.setAttribute('aria-expanded', String(!body.hidden));
      if (!body.hidden) body.scrollIntoView({ block: 'nearest' });
    },
  }, 'Measure a phone’s lens');

  /** @param {boolean} on */
  function ask(on) {
    surely.hidden = !on;
    forget.hidden = on || !phone;
    if (!on) return;
    setText(asked, `The lens card must be photographed again with “${phone}” to have its lens back. Checks already made stay as they are.`);
    forgetIt.focus();
  }

  /** @param {string} chosen */
  function choose(chosen) {
    if (chosen !== phone) setText(measured, '');
    phone = chosen;
    keep(SHELF, phone);
    which.set(phone);
    ask(false);
  }

  /** @param {string[]} kept */
  function fill(kept) {
    which.fill([['', [['', 'A phone whose lens is not measured'], ...kept.map((one) => /** @type {[string, string]} */ ([one, one]))]]]);
    which.element.hidden = !kept.length;
    choose(kept.includes(phone) ? phone : '');
  }
  // Until it is known which phones are kept, the one in use is not forgotten.
  which.element.hidden = true;
  forget.hidden = true;

  return {
    element: h('div', { class: 'stack' }, which.element, row(opener, forget), surely, measured, trouble.element, body),
    /** The phone in use, if its lens was measured. */
    get phone() { return phone || null; },
    /** Shows the phones that are kept, and takes one. @param {string[]} kept @param {string} [taken] */
    show(kept, taken) {
      if (taken) {
        phone = taken;
        setText(measured, `The lens of “${taken}” is measured. Photos of the canvas are held to be taken with it until another is chosen here.`);
      }
      fill(kept);
      if (taken) {
        body.hidden = true;
        opener.setAttribute('aria-expanded', 'false');
      }
    },
  };
}
