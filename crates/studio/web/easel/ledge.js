// The ledge under the picture, shown when the glass is touched: what is seen, in which tone and which way round; behind one
// more tap, how large and which part of it. Closed it is low, so that the picture stays in sight.

import { button, list } from '../parts/controls.js';
import { compareButton } from '../parts/compare.js';
import { FEWEST, MOST, valueStrip } from '../parts/value-strip.js';
import { h, setText } from '../parts/dom.js';
import { RATIOS } from '../parts/ratios.js';
import { setSentence } from '../parts/measure.js';
import { TONE_WORDS } from '../parts/tones.js';

/** @import { Unit } from '../api.js' */
/** @import { Looks } from './board.js' */
/** @import { ToneKind } from '../parts/tones.js' */

/** The side of the small map, in CSS pixels. */
const MAP = 96;

/** What one tap turns on and off. @type {[name: 'grid' | 'details' | 'landmarks' | 'names' | 'plumb' | 'mirror' | 'upside', label: string][]} */
const SWITCHES = [['grid', 'Grid'], ['details', 'Detail grids'], ['landmarks', 'Landmarks'], ['names', 'Names'], ['plumb', 'Plumb and level'], ['mirror', 'Mirror'], ['upside', 'Upside down']];
/** The tones that one tap shows and takes away again. @type {ToneKind[]} */
const TONES = ['grey', 'values', 'squint'];
/** The blurs of a squint that one press goes through, and what they are in mm. @type {Record<'inch' | 'metric', [text: string, mm: number][]>} */
const BLURS = {
  inch: [['1/16 in', 1.59], ['1/8 in', 3.18], ['5/32 in', 3.97], ['3/16 in', 4.76], ['1/4 in', 6.35], ['3/8 in', 9.53], ['1/2 in', 12.7], ['3/4 in', 19.1], ['1 in', 25.4], ['1 1/2 in', 38.1]],
  metric: [['1 mm', 1], ['2 mm', 2], ['3 mm', 3], ['4 mm', 4], ['6 mm', 6], ['8 mm', 8], ['12 mm', 12], ['18 mm', 18], ['25 mm', 25], ['40 mm', 40]],
};

/** @param {Unit} unit */
const blursIn = (unit) => (unit === 'inch' ? BLURS.inch : BLURS.metric);

/** A blur in mm, if it is one of these. @param {string} breadth */
const blurMm = (breadth) => [...BLURS.inch, ...BLURS.metric].find(([text]) => text === breadth)?.[1];

/** A blur as it is told in a unit: the nearest one there, where it was chosen in the other. @param {Unit} unit @param {string} breadth */
function blurIn(unit, breadth) {
  const mm = blurMm(breadth);
  if (mm === undefined || blursIn(unit).some(([text]) => text === breadth)) return breadth;
  const [nearest] = [...blursIn(unit)].sort(([, a], [, b]) => Math.abs(a - mm) - Math.abs(b - mm));
  return nearest?.[0] ?? breadth;
}

/**
 * @typedef {object} Doings
 * @property {(change: Partial<Looks>) => void} look
 * @property {(on: boolean) => void} flick
 * @property {(right: number, down: number) => void} step
 * @property {(place: number) => void} goTo brings one of the places into view
 * @property {(ratio: string) => void} ratio
 * @property {() => void} spot begins to pick spots
 * @property {() => void} stop stops the tone that is being made
 * @property {() => void} measure
 * @property {() => void} lock
 * @property {() => void} opened what is used less often is shown
 */

/** @param {Doings} doings */
export function ledge({ look, flick, step, goTo, ratio, spot, stop, measure, lock, opened }) {
  /** @type {Looks | null} */
  let looks = null;
  /** @type {Unit} */
  let unit = 'inch';
  const switches = SWITCHES.map(([name, label]) => ({ name, press: button(label, () => looks && look({ [name]: !looks[name] })) }));
  const tones = TONES.map((kind) => ({ kind, press: button(TONE_WORDS[kind], () => looks && look({ kind: looks.kind === kind ? 'photo' : kind })) }));
  const compare = compareButton(flick);
  const through = list({ label: 'Plumb and level lines through', pick: (name) => look({ through: name }) });
  const degree = h('span', { class: 'degree', role: 'status' });
  const less = button('−', () => change(-1));
  const more_ = button('+', () => change(1));
  const stepper = h('div', { class: 'stepper', role: 'group' }, less, degree, more_);
  const making = h('p', { class: 'hint', role: 'status' });
  const stopPress = button('Stop', stop, { kind: 'quiet' });
  const strip = valueStrip();
  const arrows = /** @type {[string, string, number, number][]} */ ([['↑', 'up', 0, -1], ['←', 'left', -1, 0], ['→', 'right', 1, 0], ['↓', 'down', 0, 1]])
    .map(([sign, way, right, down]) => ({ right, down, way, press: button(sign, () => step(right, down), { name: `One box ${way}` }) }));
  for (const { press, way } of arrows) press.classList.add(way);
  for (const { name, press } of switches) press.classList.add(name);
  const mapPlace = h('div', { class: 'map-place' });
  const moving = h('div', { class: 'moving', role: 'group', 'aria-label': 'Move by one grid box' }, ...arrows.map(({ press }) => press), mapPlace);
  const places = h('div', { class: 'row', role: 'group', 'aria-label': 'Bring into view' });
  const size = list({ label: 'Size on this screen', pick: ratio });
  const standing = h('p', { class: 'standing-size' });
  const about = h('p', { class: 'hint' });
  const lockPress = button('', lock, { kind: 'quiet' });
  const awake = h('p', { class: 'hint' });
  const ways = h('div', { class: 'row' });
  const measurePress = button('', measure, { kind: 'quiet' });
  const rest = h('div', { id: 'ledge-rest', class: 'ledge-rest', hidden: true },
    h('div', { class: 'ledge-size' }, about, places, size.element, h('div', { class: 'row' }, measurePress, lockPress)),
    h('div', { class: 'ledge-looks' }, through.element, strip.element,
      h('p', { class: 'hint' }, 'Touch the picture to put this ledge away. Swipe, or press an arrow key, to move by one step: a grid box, or an equal part of one that is larger than this screen. Hold a finger still on the picture to compare.'),
      awake, ways),
    moving);
  const restPress = h('button', { type: 'button', class: 'plain more', 'aria-expanded': 'false', 'aria-controls': rest.id, onclick: () => openRest(rest.hidden) }, 'More');
  const element = h('section', { id: 'ledge', class: 'ledge', 'aria-label': 'What the easel shows', hidden: true },
    h('div', { class: 'ledge-first' },
      standing,
      h('div', { class: 'looks', role: 'group', 'aria-label': 'What is seen' }, ...switches.map(({ press }) => press)),
      h('div', { class: 'looks tones', role: 'group', 'aria-label': 'Tone' }, ...tones.map(({ press }) => press), stepper, compare.element, button('Pick a spot', spot)),
      making, stopPress, restPress),
    rest);

  /** Shows what is used less often, or puts it away. @param {boolean} open */
  function openRest(open) {
    if (open) opened();
    rest.hidden = !open;
    element.classList.toggle('open', open);
    restPress.setAttribute('aria-expanded', String(open));
    setText(restPress, open ? 'Less' : 'More');
  }

  /** A step more or less of the map, or of the blur. @param {number} by */
  function change(by) {
    if (looks?.kind === 'values') look({ steps: Math.min(Math.max(looks.steps + by, FEWEST), MOST) });
    if (looks?.kind !== 'squint') return;
    const now = blurMm(looks.breadth) ?? 0;
    const beyond = blursIn(unit).filter(([, mm]) => (mm - now) * by > 0);
    const next = by > 0 ? beyond[0] : beyond.at(-1);
    if (next) look({ breadth: next[0] });
  }

  /** @param {Looks} now */
  function showTone(now) {
    for (const { kind, press } of tones) press.setAttribute('aria-pressed', String(now.kind === kind));
    stepper.hidden = now.kind !== 'values' && now.kind !== 'squint';
    setSentence(degree, now.kind === 'squint' ? blurIn(unit, now.breadth) : `${now.steps} steps`);
    const [fewer, greater] = now.kind === 'squint' ? ['Less blur', 'More blur'] : ['Fewer steps', 'More steps'];
    stepper.setAttribute('aria-label', now.kind === 'squint' ? 'Blur' : 'Steps');
    less.setAttribute('aria-label', fewer);
    more_.setAttribute('aria-label', greater);
    void strip.show(now.kind === 'values' ? now.steps : null);
  }

  return {
    element, ways,
    resetCompare: compare.reset,
    /** @param {string} sentence */
    sayAwake: (sentence) => setText(awake, sentence),
    /**
     * @param {{ looks: Looks, unit: Unit, hasDetails: boolean, places: string[], landmarks: string[], ratio: string, isTrue: boolean, standing: string, about: string, wholeAt: number,
     *   locked: boolean, making: boolean, trouble: string, map: (side: number) => Element, canStep: (right: number, down: number) => boolean }} now
     */
    show(now) {
      ({ looks, unit } = now);
      for (const { name, press } of switches) press.setAttribute('aria-pressed', String(looks[name]));
      for (const { name, press } of switches) {
        press.hidden = (name === 'details' && !now.hasDetails) || (['landmarks', 'names', 'plumb'].includes(name) && !now.landmarks.length)
          || (name === 'names' && !looks.landmarks);
      }
      showTone(looks);
      through.element.hidden = !looks.plumb || !now.landmarks.length;
      through.fill([['', now.landmarks.map((name) => [name, name])]]);
      through.set(looks.through);
      const named = now.places.join('\n');
      if (places.dataset.named !== named) {
        places.dataset.named = named;
        places.hidden = !now.places.length;
        places.replaceChildren(h('span', { class: 'hint' }, 'Bring into view:'), ...now.places.map((name, at) => button(name, () => goTo(at), { kind: 'quiet', name: `Bring into view: ${name}` })));
      }
      setText(making, now.making ? 'The picture is being made.' : now.trouble);
      stopPress.hidden = !now.making;
      setText(standing, now.standing);
      setText(about, now.about);
      size.fill([['', RATIOS.map(([value, name, share]) => [value, `${name}${share <= now.wholeAt ? ', the whole canvas' : ''}`])]]);
      size.set(now.ratio);
      // Of a screen that was not measured no size can be told.
      size.element.hidden = !now.isTrue;
      setText(measurePress, now.isTrue ? 'Measure this screen again' : 'Measure this screen');
      setText(lockPress, now.locked ? 'Let fingers enlarge' : 'Lock the size');
      for (const { right, down, press } of arrows) press.setAttribute('aria-disabled', String(!now.canStep(right, down)));
      moving.hidden = ![[1, 0], [-1, 0], [0, 1], [0, -1]].some(([right = 0, down = 0]) => now.canStep(right, down));
      if (!element.hidden) mapPlace.replaceChildren(now.map(MAP));
    },
  };
}
