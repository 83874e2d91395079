// Step 8, Check: a photo of the canvas, its outline confirmed, and what it tells; and the checks made so far.

import * as server from '../server.js';
import { button, choice, row, troubleLine } from '../parts/controls.js';
import { checkedLines } from './checked-lines.js';
import { checkedPainting } from './checked-painting.js';
import { dateOf } from '../parts/dates.js';
import { fileButton, handOver } from '../parts/files.js';
import { h, setText } from '../parts/dom.js';
import { outlineInset } from './outline.js';
import { phones } from './phones.js';
import { timeLine } from './time-line.js';
import { unsent } from '../parts/unsent.js';

/** @import { CanvasPhotoView, CheckView, View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/**
 * A part of an opened check.
 * @typedef {{ element: HTMLElement, show: (check: CheckView) => void, update: (view: View) => void, open: () => void, close: () => void }} CheckPart
 */

/** Nothing is known before of a photo that is new. @type {import('./outline.js').From} */
const NOTHING = { corners: null, middles: null, number: null, phone: null };

/** @param {Desk} desk @returns {Step & { bringIn: (file: File) => void }} */
export function check(desk) {
  const { painting, stage, sight } = desk;
  const id = painting.state.id;
  const trouble = troubleLine(painting);
  const progress = h('p', { class: 'hint', role: 'status' });
  const stop = button('Stop', () => working?.abort(), { kind: 'quiet' });
  stop.hidden = true;
  /** What the server does, and why it cannot: it stands by the buttons that asked. */
  const told = h('div', { class: 'told' }, row(progress, stop), trouble.element);
  told.firstElementChild?.classList.add('progress');
  /** The check that is open. @type {CheckView | null} */
  let open = null;
  /** Set while the server works. @type {AbortController | null} */
  let working = null;
  let isOpen = false;

  const take = (/** @type {File[]} */ files) => { if (files[0]) bringIn(files[0]); };
  const lead = h('p', {}, 'Photograph the canvas before a wall of another tone, with a little of the wall around all four edges, from straight before its middle, with the main camera and without zoom.');
  const choose = fileButton('Choose a photo of the canvas', 'image/*', take);
  const camera = fileButton('Use the camera', 'image/*', take, 'environment');
  const kept = timeLine((number) => void run(() => server.check(id, number).then(show)));
  const lenses = phones((file, phone) => takePhoto(file, { ...NOTHING, phone }));
  const choosing = row(choose.element, camera.element);
  const start = h('div', { class: 'stack' }, lead, choosing, kept.element, h('div', { class: 'ruled' }, lenses.element));

  const outline = outlineInset(desk, {
    confirm: ({ from, ...outline_ }) => void run(async (signal) => {
      if (from.phone !== null) {
        const { photo, corners } = outline_;
        lenses.show(await server.measureLens(id, { photo, corners, phone: from.phone }, signal), from.phone);
        return leave();
      }
      show(await server.measure(id, { ...outline_, phone: lenses.phone, tolerance: null, number: from.number }, signal));
    }),
    leave: () => (open ? show(open) : leave()),
  });

  /** @type {Record<'lines' | 'painting', CheckPart>} */
  const parts = {
    lines: checkedLines(desk, (change) => changeCheck(change)),
    painting: checkedPainting(desk, (change) => changeCheck(change)),
  };
  /** @type {keyof typeof parts} */
  let part = 'lines';
  const pick = choice({
    legend: 'What is looked at', hideLegend: true,
    options: /** @type {[keyof typeof parts, string][]} */ ([['lines', 'The lines'], ['painting', 'The painting']]),
    pick: (value) => turn(value),
  });
  const title = h('h3', {});
  const anew = button('Set the outline anew', () => { if (open) outlineAnew(open); }, { kind: 'quiet' });
  const sheet = button('Check sheet as PDF', () => {
    const one = open;
    if (one) void run(async (signal) => {
      const { name, pdf } = await server.checkSheet(id, one.number, signal);
      handOver(name, pdf);
    });
  });
  const away = button('Take this check away', () => askAway(true), { kind: 'quiet' });
  const surely = row(
    button('Take it away for good, with its photo', () => { const one = open; if (one) void run(() => server.removeCheck(id, one.number).then(gone)); }),
    button('Keep it', () => askAway(false), { kind: 'quiet' }));
  surely.hidden = true;
  const back = button('All checks', () => leave(), { kind: 'quiet', name: 'Back to all checks' });
  const opened = h('div', { class: 'stack', hidden: true },
    h('div', { class: 'opened-head' }, title, back), pick.element, parts.lines.element, parts.painting.element,
    h('div', { class: 'ruled stack' }, row(sheet), row(anew, away), surely));
  const panel = h('div', { class: 'stack' }, start, outline.element, opened);
  choosing.after(told);

  painting.addEventListener('working', (event) => {
    if (working) setText(progress, /** @type {CustomEvent<string>} */ (event).detail);
  });

  /** Has the server do something, with progress and a way to stop. @param {(signal: AbortSignal) => Promise<void>} act */
  async function run(act) {
    working?.abort();
    const mine = new AbortController();
    working = mine;
    trouble.say('');
    const asked = outline.isOpen ? outline.buttons : open ? surely : choosing;
    asked.after(told);
    stop.hidden = false;
    stop.scrollIntoView({ block: 'nearest' });
    try {
      await act(mine.signal);
    } catch (error) {
      const stopped = error instanceof DOMException && error.name === 'AbortError';
      if (!stopped && !(error instanceof server.Refusal)) throw error;
      if (working === mine) trouble.say(stopped ? 'Stopped.' : error.message);
    } finally {
      if (working === mine) {
        working = null;
        stop.hidden = true;
        setText(progress, '');
      }
    }
  }

  /** @param {File} file */
  const bringIn = (file) => takePhoto(file, NOTHING);

  /** @param {File} file @param {import('./outline.js').From} from */
  function takePhoto(file, from) {
    void run(async (signal) => {
      setText(progress, 'Bringing in the photo.');
      const photo = await server.canvasPhoto(id, file, signal);
      open = null;
      showOutline(photo, from);
    });
  }

  /** @param {CheckView} one */
  function outlineAnew(one) {
    showOutline({ photo: one.photo, size: one.photo_size, picture: one.photo_picture, outlines: [], remark: null },
      { corners: one.corners, middles: one.middles, number: one.number, phone: null });
  }

  /** @param {CanvasPhotoView} photo @param {import('./outline.js').From} from */
  function showOutline(photo, from) {
    if (!isOpen) return;
    parts[part].close();
    start.hidden = true;
    opened.hidden = true;
    stage.checked.replaceChildren();
    outline.open(photo, from);
  }

  /** @param {CheckView} one */
  function show(one) {
    const isOther = open?.number !== one.number;
    if (isOther && open) parts[part].close();
    open = one;
    outline.close();
    setText(title, dateOf(one.made));
    for (const each of Object.values(parts)) each.show(one);
    start.hidden = true;
    opened.hidden = false;
    askAway(false);
    // A check with landmarks set is of a painting, and so is one where paint hides the lines.
    const isPainting = one.landmarks.some(({ painted }) => painted) || Boolean(one.few_seen && one.landmarks.length);
    turn(!isOther ? part : isPainting ? 'painting' : 'lines');
    void painting.lookAgain();
  }

  /** Changes are sent one after another, so that the last of them stands. @type {Promise<unknown>} */
  let sent = Promise.resolve();
  let waiting = 0;
  /** @param {number} more */
  function wait(more) {
    waiting += more;
    unsent.set(parts, waiting ? 'Saving' : '');
  }

  /** @param {import('../api.js').CheckChange} change */
  function changeCheck(change) {
    if (!open) return Promise.resolve();
    const { number } = open;
    const mine = sent.then(async () => {
      const changed = await server.changeCheck(id, number, change);
      if (open?.number !== number) return;
      open = changed;
      for (const each of Object.values(parts)) each.show(changed);
      stage.draw();
      void painting.lookAgain();
    });
    wait(1);
    sent = mine.catch(() => undefined).finally(() => wait(-1));
    return mine;
  }

  // What another window has set, or taken away.
  painting.addEventListener('chosen', () => {
    const number = open?.number;
    if (!isOpen || waiting || number === undefined) return;
    server.check(id, number).then((one) => {
      if (open?.number !== number || waiting) return;
      open = one;
      for (const each of Object.values(parts)) each.show(one);
      stage.draw();
    }, (error) => {
      if (!(error instanceof server.Refusal)) throw error;
      if (open?.number === number && error.status === 404) gone();
    });
  });

  /** @param {boolean} asking */
  function askAway(asking) {
    surely.hidden = !asking;
    away.hidden = anew.hidden = asking;
    if (asking) surely.querySelector('button')?.focus();
  }

  function gone() {
    leave();
    void painting.lookAgain();
  }

  /** Shows a part of the open check. @param {keyof typeof parts} value */
  function turn(value) {
    parts[part].close();
    part = value;
    pick.set(part);
    for (const [key, { element }] of Object.entries(parts)) element.hidden = key !== part;
    if (isOpen && open) parts[part].open();
    stage.draw();
  }

  /** Back to the list of checks. */
  function leave() {
    outline.close();
    parts[part].close();
    open = null;
    stage.checked.replaceChildren();
    opened.hidden = true;
    start.hidden = false;
    void list();
    stage.draw();
  }

  async function list() {
    try {
      const [checks, known] = await Promise.all([server.checks(id), server.phones()]);
      kept.show(checks);
      lenses.show(known);
      choose.setKind(checks.length ? 'plain' : 'next');
    } catch (error) {
      if (!(error instanceof server.Refusal)) throw error;
      choosing.after(told);
      trouble.say(error.message);
    }
  }

  return {
    panel,
    update(view) {
      for (const one of Object.values(parts)) one.update(view);
    },
    open() {
      isOpen = true;
      sight.want({ details: false });
      if (open) show(open);
      else leave();
    },
    close() {
      working?.abort();
      isOpen = false;
      outline.close();
      parts[part].close();
      stage.checked.replaceChildren();
    },
    bringIn,
  };
}
