// Part of the likeness: landmarks, placed on the reference one after another, and where each lies in the grid.

import { arrowStep, sentenceParts, setSentence } from '../parts/measure.js';
import { button, field, list, row, tick, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';
import { nameOver, onwards } from '../parts/landmark-in-hand.js';
import { inHand } from '../parts/in-hand.js';
import { crosses, twinLines } from '../parts/lines.js';

/** @import { LandmarkView, LikenessView, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Part } from './likeness.js' */

/** @param {Desk} desk @returns {Part} */
export function landmarks(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  /** The landmark in hand; the next one that is suggested until the painter chooses. */
  let name = '';
  /** Passed over, until the page is opened again. @type {Set<string>} */
  const skipped = new Set();
  let lines = false;
  /** The landmark that was dragged or moved by keys last: the next tap is meant for the one after it. */
  let put = '';

  /** Whether the painter chose a landmark: from there on it goes in the order of the list. */
  let chosen = false;
  const which = list({ label: 'Landmark in hand', pick(value) { chosen = true; take(value); } });
  const own = field({ label: 'A name of your own', kind: 'text', wide: true, commit(text) { if (text.trim()) take(text.trim()); } });
  const sentence = h('p', { class: 'remark', role: 'status' });
  const here = button('Place it there', () => {
    const at = expected(desk.view.likeness);
    // It is gone until the next landmark is in hand.
    if (at) void place(at).then(() => (here.hidden ? which.select : here).focus());
  });
  const skip = button('Skip it', () => {
    skipped.add(name);
    take(next(desk.view.likeness));
    if (skip.hidden) which.select.focus();
  }, { kind: 'quiet' });
  const away = button('Take it away', () => trouble.act(painting.edit({ likeness: { do: 'forget-landmark', name } })), { kind: 'quiet' });
  const through = tick({ label: 'Plumb and level lines through it', pick: (on) => { lines = on; stage.draw(); } });
  const held = inHand({
    legend: 'In hand', things: [['0', 'The landmark']], take: () => undefined, nudge: (_, steps) => point.nudge(0, steps),
    hint: 'Tap the place on the canvas, or drag the mark. Right and left are the sitter’s own.',
  });
  const rows = h('tbody');
  const plots = h('table', { class: 'plots' },
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'Landmark'), h('th', { scope: 'col' }, 'Box'), h('th', { scope: 'col' }, 'Measure'))), rows);

  const edit = (/** @type {Xy} */ at) => painting.edit({ likeness: { do: 'landmark', name, at } });
  const point = new Handles(stage, {
    points: [{ name: 'The landmark', look: 'landmark' }],
    step: () => arrowStep(painting.view.unit) / 4,
    loupe: true,
    hold: () => stage.draw(),
    done: ([at]) => {
      if (!at) return undefined;
      put = name;
      return trouble.act(edit(at));
    },
    cancel: () => stage.draw(),
    inHand: () => 0,
    tapped: (_, at) => void place(at),
  });

  /** Places the landmark in hand and takes the next. @param {Xy} at */
  function place(at) {
    const following = put === name && open(desk.view.likeness);
    if (following) take(following);
    return trouble.act(edit(at).then(({ view }) => take(next(view.likeness))));
  }

  /** @param {string} taken */
  function take(taken) {
    point.settle();
    [name, put] = [taken, ''];
    const { likeness } = desk.view;
    update(desk.view);
    stage.draw();
    const at = placed(likeness)?.at ?? expected(likeness);
    if (at) stage.reveal(at);
  }

  /** The next that is not placed yet: as proportion suggests, or else in the order of the set; blank where there is none. @param {LikenessView} likeness */
  function open({ suggested, head, landmarks: placed }) {
    const isOpen = (/** @type {string} */ one) => one !== put && !skipped.has(one) && placed.every((other) => other.name !== one);
    const after = chosen ? head.slice(head.indexOf(name) + 1).find(isOpen) : undefined;
    return after ?? [...suggested.map((one) => one.name), ...head].find(isOpen) ?? '';
  }

  /** The next to be placed, or where all are, one that is. @param {LikenessView} likeness */
  const next = (likeness) => open(likeness) || likeness.landmarks[0]?.name || likeness.head[0] || '';

  /** @param {LikenessView} likeness */
  const placed = ({ landmarks: all }) => all.find((one) => one.name === name);
  /** @param {LikenessView} likeness */
  const expected = ({ suggested }) => suggested.find((one) => one.name === name)?.at ?? null;

  let isOpen = false;
  /** Those that were placed when this was last shown. @type {Set<string>} */
  let placedBefore = new Set();
  /** What an undo takes back is in hand again. @param {LikenessView} likeness */
  function follow({ landmarks: all }) {
    const now = new Set(all.map((one) => one.name));
    const gone = [...placedBefore].filter((one) => !now.has(one));
    placedBefore = now;
    if (isOpen && gone.length === 1 && gone[0]) [name, put] = [gone[0], ''];
  }

  let filledFor = '';
  /** @param {View} view */
  function update({ likeness }) {
    follow(likeness);
    if (!name) name = next(likeness);
    const mine = placed(likeness);
    const known = new Set([...likeness.head, ...likeness.figure]);
    const others = [...new Set([...placedBefore, name])].filter((one) => !known.has(one));
    const what = JSON.stringify([likeness.landmarks, others]);
    if (what !== filledFor) {
      filledFor = what;
      const option = (/** @type {string} */ one) =>
        /** @type {[string, string]} */ ([one, placedBefore.has(one) ? `${one}, placed` : one]);
      which.fill([['Head', likeness.head.map(option)], ['Figure', likeness.figure.map(option)], ...(others.length ? /** @type {[string, [string, string][]][]} */ ([['Your own', others.map(option)]]) : [])]);
      rows.replaceChildren(...likeness.landmarks.flatMap(plotRow));
    }
    which.set(name);
    plots.hidden = !likeness.landmarks.length;
    const at = expected(likeness);
    here.hidden = Boolean(mine) || !at;
    skip.hidden = Boolean(mine);
    away.hidden = !mine;
    setSentence(sentence, mine
      ? `The ${name} is placed.${put === name ? onwards(open(likeness)) : ''}`
      : at ? `The ${name} is expected where the open mark is.` : `Tap where the ${name} is.`);
  }

  /** @param {LandmarkView} landmark */
  function plotRow({ name: one, plot, details }) {
    const words = (/** @type {{ across: string, down: string }} */ { across, down }) => h('td', {}, ...sentenceParts(across), ', ', ...sentenceParts(down));
    const first = h('tr', {},
      h('th', { scope: 'row' }, button(one, () => take(one), { name: `Take ${one} in hand`, kind: 'quiet' })),
      h('td', {}, plot?.grid_box ?? ''), plot ? words(plot) : h('td', {}, 'beyond the canvas’s edge'));
    return [first, ...details.map(({ detail, plot: inside }) =>
      h('tr', { class: 'inside' }, h('td', {}, detail), h('td', {}, inside.grid_box), words(inside)))];
  }

  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const { likeness } = stage.view;
    const mine = placed(likeness);
    const at = mine?.at ?? expected(likeness);
    point.show(Boolean(at));
    const [grip] = point.buttons;
    grip?.classList.toggle('expected', !mine);
    grip?.setAttribute('aria-label', `${name}, ${mine ? 'placed' : 'expected here'}. Arrow keys move it.`);
    if (at) point.lay([at]);
    stage.overlay.replaceChildren(
      ...(lines && mine ? twinLines([mine.plumb, mine.level].filter((line) => line !== null), { px: stage.px, dash: '6 4' }) : []),
      ...crosses(likeness.landmarks.flatMap((one) => (one.name === name ? [] : [one.at])), stage.px),
      ...(at && !point.held ? nameOver(name, at, stage) : []));
  });

  return {
    element: h('div', { class: 'stack' }, which.element, sentence, row(here, skip, away), held.element, through.element, own.element, trouble.element,
      h('h3', {}, 'Plots'), h('p', { class: 'hint' }, 'The box by its column’s letter and its row’s number; lines are counted from the left and from the top. Line 0 is the side of the canvas, or of the detail box.'), plots),
    update,
    open() {
      isOpen = true;
      stage.give({ tap: (_, at) => void place(at) }, 'The photo on the canvas. A tap places the landmark in hand.');
    },
    close() {
      point.settle();
      isOpen = false;
      point.show(false);
      stage.overlay.replaceChildren();
      stage.give({});
    },
  };
}
