// Part of the likeness: measures between two points of the reference, kept, and told in terms of one of them.

import { arrowStep, measure } from '../parts/measure.js';
import { button, field, list, row, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';
import { twinLines } from '../parts/lines.js';

/** @import { Edit, LandmarkView, LikenessView, MeasureView, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Part } from './likeness.js' */

/** Where a measure first lies, as shares of the canvas. @type {[Xy, Xy]} */
const FIRST_ENDS = [[0.4, 0.4], [0.6, 0.4]];
/** A dragged end goes onto a landmark from so far away, in screen pixels. */
const SNAP = 10;
/** An end nearer to a landmark than this is on it, in mm: what rounding leaves open. */
const ON = 1e-6;

/** @param {Desk} desk @returns {Part} */
export function measures(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  /** The measure in hand. */
  let name = '';
  let wanted = '';
  const title = field({ label: 'What it is', kind: 'text', wide: true, commit(text) { wanted = text.trim(); } });
  const fresh = button('Take a measure', () => {
    const taken = wanted || freeName(desk.view.likeness);
    const [width, height] = stage.size;
    const [from, to] = FIRST_ENDS.map(([x, y]) => /** @type {Xy} */ ([x * width, y * height]));
    if (!from || !to) return;
    wanted = '';
    title.input.value = '';
    trouble.act(painting.edit({ likeness: { do: 'measure', name: taken, from, to } }).then(() => take(taken)));
  }, { kind: 'next' });
  const held = inHand({
    legend: 'In hand', things: [['0', 'One end'], ['1', 'The other']], take: () => undefined,
    nudge: (key, steps) => ends.nudge(Number(key), steps), hint: 'Drag its ends on the canvas; arrow keys do the same. An end on a landmark follows it.',
  });
  const rename = field({ label: 'Its name', kind: 'text', wide: true, commit: (text) => painting.edit({ likeness: { do: 'rename-measure', name, to: text } }).then(() => take(text.trim())) });
  const onLandmarks = ['One end is on', 'The other end is on'].map((label, end) => list({ label, pick: (landmark) => putOn(end, landmark) }));
  const ofHeld = h('div', { class: 'stack inset' }, rename.element, ...onLandmarks.map(({ element }) => element), held.element);
  const kept = h('ul', { class: 'kept' });

  /** @param {Xy[]} points @returns {Edit} */
  const edit = ([from = [0, 0], to = [0, 0]]) => ({ likeness: { do: 'measure', name, from, to, from_landmark: under(from, ON), to_landmark: under(to, ON) } });

  /** The name of the landmark within so many mm of a place. @param {Xy} at @param {number} within */
  const under = (at, within) => nearest(at, within)?.name ?? null;

  /** @param {Xy} at @param {number} within @returns {LandmarkView | undefined} */
  function nearest([x, y], within) {
    const away = (/** @type {LandmarkView} */ { at }) => Math.hypot(at[0] - x, at[1] - y);
    const [first] = [...painting.state.view.likeness.landmarks].sort((a, b) => away(a) - away(b));
    return first && away(first) <= within ? first : undefined;
  }

  /** Puts an end on a landmark, or leaves it where it is for itself. @param {number} end @param {string} landmark */
  function putOn(end, landmark) {
    const { measures: all, landmarks } = painting.state.view.likeness;
    const mine = all.find((one) => one.name === name);
    if (!mine) return;
    const at = landmarks.find((one) => one.name === landmark)?.at;
    const [from, to] = end === 0 ? [at ?? mine.from, mine.to] : [mine.from, at ?? mine.to];
    const [from_landmark, to_landmark] = end === 0 ? [landmark || null, mine.to_landmark] : [mine.from_landmark, landmark || null];
    trouble.act(painting.edit({ likeness: { do: 'measure', name, from, to, from_landmark, to_landmark } }));
  }

  const ends = new Handles(stage, {
    points: [{ name: 'One end of the measure', look: 'end' }, { name: 'The other end of the measure', look: 'end' }],
    step: () => arrowStep(painting.view.unit),
    loupe: true,
    snap: (at) => nearest(at, SNAP * stage.px)?.at ?? at,
    hold: (_, points) => void painting.try(edit(points)),
    done: (points) => trouble.act(painting.edit(edit(points))),
    cancel: () => painting.endTry(),
    taken: (index) => held.take(String(index)),
    inHand: () => Number(held.key),
  });

  /** @param {string} taken */
  function take(taken) {
    name = taken;
    shown = '';
    update(desk.view);
    stage.draw();
  }

  let shown = '';
  /** @param {View} view */
  function update({ likeness }) {
    if (!likeness.measures.some((one) => one.name === name)) name = likeness.measures[0]?.name ?? '';
    ofHeld.hidden = !name;
    const what = JSON.stringify([likeness.measures, likeness.landmarks.map((one) => one.name), name]);
    if (what === shown) return;
    shown = what;
    const unit = likeness.measures.find((one) => one.is_unit)?.name ?? '';
    kept.replaceChildren(...likeness.measures.map((one) => measureItem(one, unit)));
    const mine = likeness.measures.find((one) => one.name === name);
    rename.set(name);
    onLandmarks.forEach((one, end) => {
      one.fill([['', [['', 'a place of its own'], ...likeness.landmarks.map((landmark) => /** @type {[string, string]} */ ([landmark.name, landmark.name]))]]]);
      one.set((end === 0 ? mine?.from_landmark : mine?.to_landmark) ?? '');
      one.element.hidden = !likeness.landmarks.length;
    });
  }

  /** @param {MeasureView} one @param {string} unit */
  function measureItem(one, unit) {
    const mine = one.name === name;
    const inUnits = one.in_units !== null && !one.is_unit ? `, ${one.in_units.toFixed(2)} times ${unit}` : '';
    return h('li', { class: mine ? 'mine' : '' },
      h('p', {}, h('b', {}, one.name), ' ', measure(one.length), ` (${one.length_mm.toFixed(1)} mm)${inUnits}`),
      h('p', { class: 'hint' }, 'run ', measure(one.run), ', rise ', measure(one.rise), `, ${one.lean}`),
      row(
        mine ? null : button('Take in hand', () => take(one.name), { name: `Take ${one.name} in hand`, kind: 'quiet' }),
        button(one.is_unit ? 'Not the unit' : 'As the unit', () => trouble.act(painting.edit({ likeness: { do: 'unit-measure', name: one.is_unit ? null : one.name } })),
          { name: one.is_unit ? `${one.name} is no longer the unit` : `State the others in terms of ${one.name}`, kind: 'quiet' }),
        button('Take away', () => trouble.act(painting.edit({ likeness: { do: 'forget-measure', name: one.name } })), { name: `Take ${one.name} away`, kind: 'quiet' })));
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const mine = stage.view.likeness.measures.find((one) => one.name === name);
    ends.show(Boolean(mine));
    if (mine) ends.lay([mine.from, mine.to]);
    const [from, to] = ends.points;
    const drawn = mine && from && to ? twinLines([[...from, ...to]], { px: stage.px, width: 1.5 }) : [];
    const others = stage.view.likeness.measures.filter((one) => one.name !== name);
    stage.overlay.replaceChildren(...twinLines(others.map((one) => [...one.from, ...one.to]), { px: stage.px, dash: '4 4' }), ...drawn);
  });

  return {
    element: h('div', { class: 'stack' }, title.element, fresh, ofHeld, trouble.element, kept),
    update,
    open() { isOpen = true; },
    close() {
      isOpen = false;
      ends.show(false);
      stage.overlay.replaceChildren();
    },
  };
}

/** The first of Measure 1, Measure 2, … that is free. @param {LikenessView} likeness */
function freeName({ measures: taken }) {
  for (let number = 1; ; number += 1) {
    const free = `Measure ${number}`;
    if (taken.every((one) => one.name !== free)) return free;
  }
}
