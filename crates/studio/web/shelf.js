// The shelf: a wall on which every painting hangs as its canvas, on one centre line, true to its proportions and to its
// size beside the others. New, copied, taken down (and hang again in the same place), and files dropped anywhere.

import * as server from './server.js';
import { apostrophes } from './parts/apostrophes.js';
import { button } from './parts/controls.js';
import { byId, h, setText } from './parts/dom.js';
import { fileButton, isPainting, PAINTING_ENDING, takeDropped } from './parts/files.js';
import { keepFocus } from './parts/focus.js';
import { finding } from './parts/finding.js';
import { doorControl } from './parts/door-control.js';
import { usualHere } from './parts/usual.js';
import { wallControl } from './parts/wall.js';

/** @import { ShelfPainting } from './api.js' */

/** The place of a painting whose file cannot be opened, in mm. */
const UNKNOWN = { width: 240, height: 300 };

const paintings = byId('paintings');
const notice = byId('shelf-notice');
const takenDown = /** @type {HTMLDetailsElement} */ (byId('taken-down'));
takenDown.addEventListener('toggle', () => takenDown.open && void act(listTakenDown));

const finder = finding(() => find());
const choose = fileButton('Bring in a photo or a painting file', `image/*,${PAINTING_ENDING}`, (files) => void take(files));
const fresh = button('New painting', () => act(async () => open((await server.newPainting(null, usualHere())).id)), { kind: 'next' });
byId('shelf-actions').append(fresh, choose.element, finder.element);
const door = doorControl();
byId('wall-place').before(door.element);
byId('wall-place').append(wallControl());
takeDropped((files) => void take(files));
addEventListener('pageshow', (event) => event.persisted && void act(async () => { await hang(); await door.look(); }));
keepFocus();
void act(hang);
void door.look();

/** Hangs what is on the shelf. */
async function hang() {
  const { paintings: all, taken_down: count, folder } = await server.shelf();
  takenDown.hidden = !count;
  if (takenDown.open) await listTakenDown();
  setText(byId('folder'), `The paintings are kept in ${folder}. A file keeps its name when you give its painting another title; to rename the file too, stop the studio and rename it there.`);
  const tallest = Math.max(...all.map((one) => one.canvas?.height_mm ?? UNKNOWN.height), 1);
  const widest = Math.max(...all.map((one) => one.canvas?.width_mm ?? UNKNOWN.width), 1);
  paintings.style.setProperty('--tallest', String(tallest));
  paintings.style.setProperty('--widest', String(widest));
  paintings.replaceChildren(...all.map(hungPainting));
  finder.show(all.length);
  find();
  if (!all.length) paintings.append(h('li', { class: 'bare' }, 'The shelf is bare. Start a new painting, or drop a photo here.'));
  return all;
}

/** Shows those paintings alone whose title or file has what is sought in it. */
function find() {
  const items = [...paintings.querySelectorAll('li')];
  for (const item of items) item.hidden = !finder.suits(item.dataset.words ?? '');
  finder.say(items.some((item) => !item.hidden));
}

/** Brings a painting into sight that is new in its place, and into hand. @param {string} id */
function reveal(id) {
  const item = paintings.querySelector(`li[data-id="${CSS.escape(id)}"]`);
  if (item instanceof HTMLElement && item.hidden) {
    finder.clear();
    find();
  }
  item?.scrollIntoView({ block: 'center' });
  const title = item?.querySelector('h2 a');
  if (title instanceof HTMLElement) title.focus({ preventScroll: true });
}

/** Lists what was taken down, to be hung again. Each file is opened for it, and so only when the list is. */
async function listTakenDown() {
  const { paintings: all } = await server.takenDown();
  byId('taken-down-list').replaceChildren(...all.map(({ id, title, file }) => {
    const name = title || 'Untitled';
    return h('li', {}, h('span', {}, name), h('span', { class: 'file-name' }, file), button('Hang it again', () => act(async () => {
      await server.hangAgain(id);
      await hang();
      reveal(id);
      setText(notice, `“${name}” hangs again.`);
    }), { name: `Hang ${name} again` }));
  }));
}

/** A canvas whose picture cannot be made hangs blank. @param {Event} event */
function hide({ target }) {
  if (target instanceof HTMLElement) target.hidden = true;
}

/** @param {ShelfPainting} painting */
function hungPainting(painting) {
  const { id, title, file, changed, picture, size, trouble } = painting;
  const name = title || 'Untitled';
  const canvas = h('span', { class: trouble ? 'hung-canvas gone' : 'hung-canvas' }, trouble || !picture ? null : h('img', { src: picture, alt: '', onerror: hide }));
  const day = new Date(changed);
  const caption = h('div', { class: 'caption' },
    h('h2', {}, trouble ? name : h('a', { href: address(id) }, name)),
    trouble
      ? h('p', { class: 'shelf-trouble' }, apostrophes(trouble))
      : h('p', {}, size && h('span', { class: 'size' }, sizeText(size)), h('br', {}), 'changed ', h('time', { datetime: changed }, day.toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' }))),
    h('p', { class: 'file-name' }, file));
  const item = place(painting, h('div', { class: 'place' }, trouble ? canvas : h('a', { href: address(id), tabindex: '-1', 'aria-hidden': 'true' }, canvas)), caption);
  const down = button('Take down', () => act(async () => {
    await server.takeDown(id);
    item.replaceWith(emptyPlace(painting));
  }), { name: `Take down ${name}` });
  const copy = button('Make a copy', () => act(async () => {
    const made = await server.duplicate(id);
    await hang();
    reveal(made.id);
    setText(notice, `A copy of “${name}” hangs here now. Ticks and checks of the canvas stay with “${name}” itself.`);
  }), { name: `Make a copy of ${name}` });
  const away = button('Save its file', () => h('a', { href: server.ownFile(id), download: '' }).click(), { name: `Save its file: ${name}` });
  caption.append(h('div', { class: 'deeds' }, ...(trouble ? [] : [copy, away]), down));
  return item;
}

/** As it is written on a canvas: `50 × 70 cm`. @param {string} size */
const sizeText = (size) => size.replace(' x ', ' × ');

/** Where a painting hung that was taken down, until the shelf is seen anew. @param {ShelfPainting} painting */
function emptyPlace(painting) {
  const name = painting.title || 'Untitled';
  const canvas = h('span', { class: 'hung-canvas gone' });
  const item = place(painting, h('div', { class: 'place' }, canvas));
  const again = button('Hang it again', () => act(async () => {
    await server.hangAgain(painting.id);
    item.replaceWith(hungPainting(painting));
    reveal(painting.id);
    setText(notice, `“${name}” hangs again.`);
  }), { name: `Hang ${name} again` });
  item.append(h('div', { class: 'caption' }, h('h2', {}, name), h('p', {}, 'Taken down'), h('div', { class: 'deeds' }, again)));
  setText(notice, `“${name}” is taken down. Its file lies in the folder “Taken down” beside the others.`);
  setTimeout(() => again.focus());
  return item;
}

/**
 * A place on the wall, as large as the canvas beside the others.
 * @param {ShelfPainting} painting @param {...Node} children
 */
function place({ id, title, file, canvas }, ...children) {
  const item = h('li', { 'data-id': id, 'data-words': `${title || 'Untitled'} ${file.replace(PAINTING_ENDING, '')}` }, ...children);
  item.style.setProperty('--width', String(canvas?.width_mm ?? UNKNOWN.width));
  item.style.setProperty('--height', String(canvas?.height_mm ?? UNKNOWN.height));
  return item;
}

/** Hangs painting files, and starts a painting with the first photo. @param {File[]} files */
async function take(files) {
  await act(async () => {
    const paintings = files.filter(isPainting);
    /** @type {string[]} */
    const ids = [];
    for (const file of paintings) ids.push((await server.importPainting(file)).id);
    const photo = files.find((file) => !isPainting(file));
    if (photo) return open(await withPhoto(photo));
    const all = await hang();
    // It may hang under another name than it was sent by, beside one of the same title.
    const hung = all.filter(({ id }) => ids.includes(id)).map(({ title, file }) => `“${title || 'Untitled'}” hangs here now, as the file ${file}.`);
    if (ids[0]) reveal(ids[0]);
    if (hung.length) setText(notice, hung.join(' '));
  });
}

/** A new painting with a photo; one that cannot be opened leaves no painting behind. @param {File} photo */
async function withPhoto(photo) {
  const { id } = await server.newPainting(photo.name.replace(/\.[^.]+$/, ''), usualHere());
  try {
    const { revision } = await server.painting(id);
    await server.bringIn(id, revision, photo);
  } catch (error) {
    await server.discard(id);
    throw error;
  }
  return id;
}

/** Runs something and says why it cannot be. @param {() => Promise<unknown>} run */
async function act(run) {
  setText(notice, '');
  try {
    await run();
  } catch (error) {
    if (!(error instanceof server.Refusal)) throw error;
    setText(notice, error.message);
  }
}

/** @param {string} id */
const address = (id) => `/painting/${encodeURIComponent(id)}`;

/** @param {string} id */
function open(id) {
  location.assign(address(id));
}
