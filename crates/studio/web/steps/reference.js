// Step 1, Reference: bring in the photo, turn it, straighten it, square it up, and know what it is made of.

import { apostrophes } from '../parts/apostrophes.js';
import { button, field, row, tick, troubleLine } from '../parts/controls.js';
import { dateOf } from '../parts/dates.js';
import { exposure } from '../parts/exposure.js';
import { fileButton } from '../parts/files.js';
import { h, setText } from '../parts/dom.js';
import { setSentence } from '../parts/measure.js';
import { squareUp } from './square-up.js';
import { straighten } from './straighten.js';

/** @import { Edit, PhotoFacts, View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/**
 * A part of this step that takes the stage for itself while it is open.
 * @typedef {{ title: string, body: HTMLElement, update: (view: View) => void, open: () => void, close: () => void }} Inset
 */

/** @param {Desk} desk @param {(file: File) => Promise<unknown>} bringIn @returns {Step} */
export function reference(desk, bringIn) {
  const { painting, stage, sight } = desk;
  const trouble = troubleLine(painting);
  const edit = (/** @type {Edit} */ made) => trouble.act(painting.edit(made));
  const take = (/** @type {File[]} */ files) => {
    if (files[0]) trouble.act(bringIn(files[0]));
  };

  const lead = h('p', {}, 'Choose it, drop it anywhere on this page, or paste it.');
  const choose = fileButton('Choose a photo', 'image/*', take);
  const camera = fileButton('Use the camera', 'image/*', take, 'environment');
  const rights = h('p', { class: 'hint' }, 'Use a photo that you have the right to paint from, with the sitter’s leave.');
  const facts = h('dl', { class: 'facts' });
  const unreadable = h('p', { class: 'remark' });
  const coarse = h('p', { class: 'remark' });
  const light = exposure(desk);

  const degrees = field({
    label: 'Turned clockwise', unit: '°', kind: 'number', wants: 'a number of degrees, such as 1.5, or 0',
    commit: (text) => painting.edit({ reference: { do: 'turn', degrees: Number(text) } }),
  });
  const mirror = tick({ label: 'Mirrored', pick: (on) => edit({ reference: { do: 'mirror', mirror: on } }) });
  const turning = h('div', { class: 'stack' },
    row(
      button('↺ Quarter turn', () => edit({ reference: { do: 'quarter-turn', clockwise: false } }), { name: 'Quarter turn anticlockwise' }),
      button('↻ Quarter turn', () => edit({ reference: { do: 'quarter-turn', clockwise: true } }), { name: 'Quarter turn clockwise' })),
    row(degrees.element, mirror.element));

  const insets = [straighten(desk, leave), squareUp(desk, leave)];
  /** @type {Inset | null} */
  let inset = null;
  const openers = insets.map((one) => h('button', {
    type: 'button', class: 'plain', 'aria-expanded': 'false',
    onclick: () => (inset === one ? leave() : enter(one)),
  }, one.title));
  const withPhoto = h('div', { class: 'stack' },
    facts, coarse, light.element, turning,
    ...insets.flatMap((one, index) => [openers[index], one.body]));
  for (const one of insets) one.body.hidden = true;
  const panel = h('div', { class: 'stack' }, lead, unreadable, row(choose.element, camera.element), rights, trouble.element, withPhoto);

  /** @param {Inset} one */
  function enter(one) {
    leave();
    inset = one;
    one.body.hidden = false;
    one.update(desk.view);
    one.open();
    mark();
    one.body.scrollIntoView({ block: 'nearest' });
  }

  function leave() {
    if (!inset) return;
    inset.close();
    inset.body.hidden = true;
    inset = null;
    stage.give({});
    mark();
  }

  function mark() {
    insets.forEach((one, index) => openers[index]?.setAttribute('aria-expanded', String(one === inset)));
  }

  return {
    panel,
    update(view) {
      const { photo } = painting.state;
      const there = Boolean(photo && view.reference);
      lead.hidden = rights.hidden = there;
      withPhoto.hidden = !there;
      choose.setLabel(there ? 'Another photo' : 'Choose a photo');
      choose.setKind(there ? 'quiet' : 'next');
      camera.setKind(there ? 'quiet' : 'plain');
      light.update(view);
      setText(unreadable, apostrophes(painting.state.photo_trouble ?? ''));
      if (!photo || !view.reference) return leave();
      fillFacts(facts, photo, view);
      setSentence(coarse, view.reference.coarse ?? '');
      degrees.set(view.reference.turn.toFixed(1).replace('-0.0', '0.0'));
      mirror.set(view.reference.mirror);
      inset?.update(view);
    },
    open() {
      sight.want({ beyond: true, details: false, grid: false });
    },
    close: leave,
  };
}

/** @param {HTMLElement} facts @param {PhotoFacts} photo @param {View} view */
function fillFacts(facts, photo, view) {
  /** @type {[string, string | null][]} */
  const entries = [
    ['Photo', photo.format],
    ['Pixels of the file', photo.pixels],
    ['On the canvas', view.reference?.resolution ?? null],
    ['Colour', photo.colour],
    ['', photo.colour_note],
    ['Lens', photo.lens],
    ['Taken', photo.taken && dateOf(photo.taken)],
  ];
  const known = entries.filter(([, fact]) => fact);
  if (facts.children.length !== known.length * 2) {
    facts.replaceChildren(...known.flatMap(([name]) => [h('dt', {}, name), h('dd', {})]));
  }
  known.forEach(([name, fact], index) => {
    const [term, entry] = [facts.children[index * 2], facts.children[index * 2 + 1]];
    if (!term || !entry) return;
    setText(term, name);
    if (name === 'Pixels of the file') setSentence(entry, fact ?? '');
    else setText(entry, apostrophes(fact ?? ''));
  });
}
