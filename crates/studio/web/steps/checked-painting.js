// Part of the check: the painting held against the reference, landmarks set where they are painted, and what has drifted.

import { arrowStep, setSentence } from '../parts/measure.js';
import { button, list, row, troubleLine } from '../parts/controls.js';
import { compare } from './compare.js';
import { drift } from './drift.js';
import { h, s, setText } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';
import { nameOver, onwards } from '../parts/landmark-in-hand.js';
import { twinLines } from '../parts/lines.js';

/** @import { CheckChange, CheckView, LandmarkCheckView, SetBy, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { CheckPart } from './check.js' */

/** @param {Desk} desk @param {(change: CheckChange) => Promise<void>} change @returns {CheckPart} */
export function checkedPainting(desk, change) {
  const { painting, sight, stage } = desk;
  const trouble = troubleLine(painting);
  /** @type {CheckView | null} */
  let check = null;
  /** The landmark in hand. */
  let name = '';
  /** Passed over in this check. @type {Set<string>} */
  const skipped = new Set();
  /** Where landmarks are painted. @type {Map<string, Xy>} */
  let painted = new Map();
  /** What of it the server has not answered yet; null for one that is taken away. @type {Map<string, Xy | null>} */
  const ahead = new Map();

  const comparing = compare(desk);
  const told = drift();
  const which = list({ label: 'Landmark in hand', pick: (value) => take(value) });
  const sentence = h('p', { class: 'remark', role: 'status' });
  const there = button('', () => { const one = inHandNow(); if (one) set(painted.get(one.name) ?? one.planned, 'tap', true); });
  const skip = button('Skip it', () => { skipped.add(name); take(next()); }, { kind: 'quiet' });
  const away = button('Take it away', () => put(name, null, null), { kind: 'quiet' });
  const held = inHand({
    legend: 'In hand', things: [['0', 'The landmark']], take: () => undefined, nudge: (_, steps) => nudge(steps),
    hint: 'Drag the mark to where the feature is painted, or tap there. Right and left are the sitter’s own.',
  });
  held.element.classList.add('without-head');
  const none = h('p', { class: 'remark' }, 'Place landmarks on the reference first, in line 6, Likeness. They are then offered here where they belong.');
  const setting = h('div', { class: 'stack' }, which.element, sentence, row(there, skip, away), held.element);

  const point = new Handles(stage, {
    points: [{ name: 'The landmark', look: 'landmark' }],
    step: () => arrowStep(painting.view.unit) / 4,
    loupe: true,
    hold: () => stage.draw(),
    done: ([at]) => {
      if (!at) return;
      dragged = name;
      set(at, 'loupe', false);
    },
    cancel: () => stage.draw(),
    inHand: () => 0,
    keyed: (_, steps) => nudge(steps),
    tapped: (_, at, pointer) => tap(at, pointer),
  });

  /** The landmark that was dragged or moved by keys last: the next tap is meant for the one after it. */
  let dragged = '';

  /** @param {Xy} at @param {string} pointer */
  function tap(at, pointer) {
    const following = dragged === name && open();
    if (following) take(following);
    set(at, setBy(pointer), true);
  }

  /** Sets the landmark in hand, and takes the next one if asked. @param {Xy} at @param {SetBy} by @param {boolean} goOn */
  function set(at, by, goOn) {
    skipped.delete(name);
    put(name, at, by);
    if (!goOn) return;
    const one = name;
    take(next());
    tapped = one;
  }

  /** Has the server keep where a landmark is painted. @param {string} one @param {Xy | null} at null takes it away @param {SetBy | null} by what it was set with */
  function put(one, at, by) {
    ahead.set(one, at);
    lay();
    const told = change({ painted: { name: one, at, by, screen_px_mm: stage.px } });
    trouble.act(told.finally(() => {
      if (ahead.get(one) !== at) return;
      ahead.delete(one);
      lay();
    }));
  }

  /** Shows where landmarks are painted: as the server knows it, and ahead of it. */
  function lay() {
    painted = new Map(check?.landmarks.flatMap(({ name: one, painted: at }) => (at ? [[one, at]] : [])));
    for (const [one, at] of ahead) {
      if (at) painted.set(one, at);
      else painted.delete(one);
    }
    fill();
    stage.draw();
  }

  /** What was tapped last, while the next one is in hand and nothing else was done: arrow keys put it right. */
  let tapped = '';
  /** Moves the landmark in hand by keys, or the one that was just tapped. @param {Xy} steps */
  function nudge(steps) {
    if (tapped && !painted.has(name)) take(tapped);
    point.nudge(0, steps);
  }

  /** @param {string} taken */
  function take(taken) {
    point.settle();
    [name, tapped, dragged] = [taken, '', ''];
    fill();
    stage.draw();
    const at = painted.get(name) ?? inHandNow()?.planned;
    if (at) stage.reveal(at);
  }

  /** The next landmark after the one in hand that is neither set nor skipped, or else the first; blank where there is none. */
  function open() {
    const all = check?.landmarks ?? [];
    const after = all.findIndex((one) => one.name === name) + 1;
    return [...all.slice(after), ...all.slice(0, after)].find((one) => !painted.has(one.name) && !skipped.has(one.name))?.name ?? '';
  }
  const next = () => open() || name;
  const inHandNow = () => check?.landmarks.find((one) => one.name === name);

  let filledFor = '';
  function fill() {
    const landmarks = check?.landmarks ?? [];
    if (!landmarks.some((one) => one.name === name)) name = next() || landmarks[0]?.name || '';
    const options = landmarks.map((one) => /** @type {[string, string]} */ ([one.name, `${one.name}${painted.has(one.name) ? ', set' : skipped.has(one.name) ? ', skipped' : ''}`]));
    if (JSON.stringify(options) !== filledFor) which.fill([['', options]]);
    filledFor = JSON.stringify(options);
    which.set(name);
    setting.hidden = !landmarks.length;
    none.hidden = Boolean(landmarks.length);
    const isSet = painted.has(name);
    there.hidden = isSet;
    setText(there, `The ${name} is painted as planned`);
    skip.hidden = isSet;
    away.hidden = !isSet;
    const left = landmarks.filter((one) => !painted.has(one.name) && !skipped.has(one.name)).length;
    setSentence(sentence, isSet
      ? `The ${name} is set. ${left ? `${left} to go.` : 'All are set or skipped.'}${dragged === name ? onwards(open()) : ''}`
      : `The ${name} is planned where the open mark is. Drag it to where it is painted, or skip what is not there yet.`);
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !check) return;
    comparing.draw(check);
    const mine = inHandNow();
    point.show(Boolean(mine));
    if (mine) {
      const [grip] = point.buttons;
      const isSet = painted.has(name);
      grip?.classList.toggle('expected', !isSet);
      grip?.setAttribute('aria-label', `${name}, ${isSet ? 'set' : 'planned here'}. Arrow keys move it.`);
      point.lay([painted.get(name) ?? mine.planned]);
    }
    stage.overlay.replaceChildren(...comparing.lines(),
      ...check.landmarks.flatMap((one) => landmarkMarks(one, stage.px)),
      ...(mine && !point.held ? nameOver(name, painted.get(name) ?? mine.planned, stage) : []),
      ...(check.drift ? check.drift.own.flatMap((own) => arrowMark(own.arrow, own.stands_out, stage.px)) : []));
  });

  /** Where a landmark is planned and where it is painted. @param {LandmarkCheckView} landmark @param {number} px */
  function landmarkMarks({ name: one, planned: [x, y] }, px) {
    const at = painted.get(one);
    if (!at) return [];
    const arm = 5 * px;
    const cross = twinLines([[x - arm, y, x + arm, y], [x, y - arm, x, y + arm]], { px, width: 1 });
    return one === name ? cross : [...cross, s('circle', { cx: at[0], cy: at[1], r: 3 * px, class: 'painted-point' })];
  }

  return {
    element: h('div', { class: 'stack' }, comparing.element, h('h3', {}, 'Landmarks as painted'), none, setting, trouble.element, told.element),
    show(one) {
      if (check?.number !== one.number) {
        skipped.clear();
        ahead.clear();
        name = '';
      }
      check = one;
      lay();
      told.show(one);
      comparing.show(one);
    },
    update: () => undefined,
    open() {
      isOpen = true;
      fill();
      comparing.open();
      sight.want({ details: false, grid: false });
      stage.give({
        tap: ({ pointerType }, at) => { if (inHandNow()) tap(at, pointerType); },
        key(event) {
          const steps = arrow(event);
          if (steps && inHandNow()) nudge(steps);
        },
      }, 'The painting. A tap sets the landmark in hand; arrow keys move it.');
    },
    close() {
      point.settle();
      isOpen = false;
      point.show(false);
      comparing.close();
      sight.want({ details: false });
      stage.overlay.replaceChildren();
      stage.give({});
    },
  };
}

/** What a tap sets with. @param {string} pointer the event's kind of pointer @returns {SetBy} */
const setBy = (pointer) => (pointer === 'touch' ? 'finger' : 'tap');

/** A landmark's own error, enlarged, as an arrow. @param {import('../api.js').LineMm} line @param {boolean} standsOut @param {number} px */
function arrowMark([ax, ay, bx, by], standsOut, px) {
  const length = Math.hypot(bx - ax, by - ay);
  if (length < 4 * px) return [];
  const [ux, uy] = [(bx - ax) / length, (by - ay) / length];
  const barb = (/** @type {number} */ side) => `M${bx} ${by}L${bx - (8 * ux + side * 4 * uy) * px} ${by - (8 * uy - side * 4 * ux) * px}`;
  const d = `M${ax} ${ay}L${bx} ${by}${barb(1)}${barb(-1)}`;
  return [s('path', { d, class: `own-arrow casing${standsOut ? ' out' : ''}` }), s('path', { d, class: `own-arrow stroke${standsOut ? ' out' : ''}` })];
}
