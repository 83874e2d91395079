// Part of the likeness: measures between two points of the reference, kept, and told in terms of one of them.

import { arrowStep, measure } from '../parts/measure.js';
import { button, field, list, row, troubleLine } from '../parts/controls.js';
import { h, s } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';
import { svgMeasure } from '../parts/dimensions.js';
import { inHand } from '../parts/in-hand.js';
import { cross, twinLines } from '../parts/lines.js';

/** @import { Edit, LandmarkView, MeasureView, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Hand } from '../stage.js' */
/** @import { Part } from './likeness.js' */

/** Where a measure first lies, as shares of the canvas. @type {[Xy, Xy]} */
const FIRST_ENDS = [[0.4, 0.4], [0.6, 0.4]];
/** A dragged end goes onto a landmark from so far away, in screen pixels. */
const SNAP = 10;
/** A finger that moved further, in screen pixels, draws. */
const DRAWN = 8;
/** An end nearer to a landmark than this is on it, in mm: what rounding leaves open. */
const ON = 1e-6;

/** From a measure's line to its length, in screen pixels. */
const BESIDE = 8;

/** @param {Desk} desk @returns {Part} */
export function measures(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  /** The measure in hand. */
  let name = '';
  let wanted = '';
  const title = field({ label: 'What it is', kind: 'text', wide: true, commit(text) { wanted = text.trim(); } });
  const fresh = button('Take a measure', () => {
    const [width, height] = stage.size;
    name = freeName();
    keepNew(FIRST_ENDS.map(([x, y]) => [x * width, y * height]));
  }, { kind: 'next' });
  const held = inHand({
    legend: 'In hand', things: [['0', 'One end'], ['1', 'The other']], take: (key) => ends.reveal(Number(key)),
    nudge: (key, steps) => ends.nudge(Number(key), steps), hint: 'Drag its ends on the canvas, or tap to set the end in hand; arrow keys do the same. An end on a landmark follows it.',
  });
  const rename = field({ label: 'Its name', kind: 'text', wide: true, commit: (text) => painting.edit({ likeness: { do: 'rename-measure', name, to: text } }).then(() => take(text.trim())) });
  const onLandmarks = ['One end is on', 'The other end is on'].map((label, end) => list({ label, pick: (landmark) => putOn(end, landmark) }));
  const ofHeld = h('div', { class: 'stack inset' }, rename.element, ...onLandmarks.map(({ element }) => element), held.element);
  const kept = h('ul', { class: 'kept' });

  /** @param {Xy[]} points @returns {Edit} */
  const edit = ([from = [0, 0], to = [0, 0]]) => ({ likeness: { do: 'measure', name, from, to, from_landmark: under(from, ON), to_landmark: under(to, ON) } });

  /** Keeps the measure in hand where its ends lie now. @param {Xy[]} points */
  function keep(points) {
    const taken = name;
    return trouble.act(painting.edit(edit(points)).then(() => take(taken)));
  }

  /** Keeps it as a new one: the name that was typed is its own. @param {Xy[]} points */
  function keepNew(points) {
    wanted = '';
    title.input.value = '';
    void keep(points);
  }

  /** A place, or the landmark that is near it on the screen. @param {Xy} at */
  const snapped = (at) => nearest(at, SNAP * stage.px)?.at ?? at;

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
    step: () => arrowStep(painting.view.unit) / 4,
    loupe: true,
    snap: snapped,
    hold: (_, points) => void painting.try(edit(points)),
    done: keep,
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

  /** The name typed for the next measure, or Measure: with the first number that is free, where another has it. */
  function freeName() {
    const isFree = (/** @type {string} */ one) => painting.state.view.likeness.measures.every((other) => other.name !== one);
    if (wanted && isFree(wanted)) return wanted;
    for (let number = wanted ? 2 : 1; ; number += 1) {
      const free = `${wanted || 'Measure'} ${number}`;
      if (isFree(free)) return free;
    }
  }

  /** Where a measure that may be drawn begins, its name once it is, and what was in hand before it. @type {{ from: Xy, before: string, name: string } | null} */
  let drawing = null;
  /** @type {Hand} */
  const hand = {
    drop: () => hand.cancel?.(),
    down(_, at) {
      drawing = { from: at, before: name, name: '' };
    },
    move(_, at) {
      if (!drawing || (!drawing.name && Math.hypot(at[0] - drawing.from[0], at[1] - drawing.from[1]) < DRAWN * stage.px)) return;
      drawing.name ||= freeName();
      ({ name } = drawing);
      stage.look(at);
      void painting.try(edit([snapped(drawing.from), snapped(at)]));
    },
    up(_, at) {
      stage.look(null);
      if (drawing?.name) {
        ({ name } = drawing);
        keepNew([snapped(drawing.from), snapped(at)]);
      } else if (drawing && ends.shown) ends.set(Number(held.key), snapped(at));
      drawing = null;
    },
    cancel() {
      const given = drawing;
      drawing = null;
      if (!given?.name) return;
      stage.look(null);
      name = given.before;
      painting.endTry();
    },
  };

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const mine = stage.view.likeness.measures.find((one) => one.name === name);
    ends.show(Boolean(mine));
    if (mine) ends.lay([mine.from, mine.to]);
    const [from, to] = ends.points;
    const drawn = mine && from && to ? [...twinLines([[...from, ...to]], { px: stage.px, width: 1.5 }), lengthBeside(mine.length, from, to, stage.px)] : [];
    const others = stage.view.likeness.measures.filter((one) => one.name !== name);
    const marks = stage.view.likeness.landmarks.flatMap(({ at }) => cross(at, stage.px));
    stage.overlay.replaceChildren(...marks, ...twinLines(others.map((one) => [...one.from, ...one.to]), { px: stage.px, dash: '4 4' }), ...drawn);
  });

  return {
    element: h('div', { class: 'stack' },
      h('p', { class: 'hint' }, 'Draw from one point of the picture to the other with a finger or the mouse, or take a measure and move its ends.'),
      title.element, fresh, ofHeld, trouble.element, kept),
    update,
    open() {
      isOpen = true;
      stage.give(hand, 'The photo on the canvas. Drawing on it takes a measure.');
    },
    close() {
      isOpen = false;
      hand.cancel?.();
      ends.show(false);
      stage.overlay.replaceChildren();
      stage.give({});
    },
  };
}

/** How long a measure is, beside the middle of its line. @param {string} length @param {Xy} from @param {Xy} to @param {number} px */
const lengthBeside = (length, [ax, ay], [bx, by], px) => s('text', {
  x: (ax + bx) / 2 + BESIDE * px, y: (ay + by) / 2 - BESIDE * px, 'font-size': 16 * px, class: 'over-picture',
}, ...svgMeasure(length));
