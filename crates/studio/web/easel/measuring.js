// Measures the screen: something of known size is laid on the glass, and a frame is drawn to match it.

import { button, choice } from '../parts/controls.js';
import { freshId, h, s, setText } from '../parts/dom.js';
import { COARSEST, FINEST, errorText, guess, isPinched, keepMeasured } from './screen.js';

/** @import { Unit } from '../api.js' */

/**
 * Something to lay on the glass. Lengths in mm; `slack` is how far the thing itself may be off its size.
 * @typedef {object} Thing
 * @property {'card' | 'ruler' | 'paper'} kind
 * @property {number} length
 * @property {number} across
 * @property {number} slack
 * @property {string} saying
 */

/** An ID-1 card (ISO/IEC 7810): 85.60 x 53.98 mm, corners of 3.18 mm radius; a new one is within 0.15 % of it. */
const CARD = { length: 85.6, across: 53.98, corner: 3.18 };
const CARD_SLACK = 0.0015;
/** How far a good ruler's lines may be off, in mm (common practice, no source). */
const RULER_SLACK = 0.1;
/** How far a sheet from 150 to 600 mm may be off its size, in mm (ISO 216). */
const PAPER_SLACK = 2;
/** The narrowest sheet that is known, in mm across: A4, and Letter. */
const PAPER = { metric: 210, inch: 215.9 };
/** The eye sets two edges together to within this, in mm, or to half a pixel if that is more (common practice, no source). */
const BY_EYE = 0.1;
/** One press of a fine step, in pixels of the screen over the whole length. */
const FINE = 0.25;
/** Room that the frame leaves at the sides of the page, in CSS pixels: on a telephone, and elsewhere. */
const SIDES = { narrow: 16, wide: 32 };
/** The densest telephones, in CSS pixels in a millimetre, with something to spare: a ruler's bar has room for it. */
const DENSEST = 6.6;
/** Room below a level frame for it to grow into, as a share of its height; what is beyond is cut off, for its width is matched. */
const SPARE = 1.3;
/** What else stands on the page, in CSS pixels, so that the button below the frame is seen; and the least of a frame. */
const [WORDS, LEAST] = [480, 110];
/** A page narrower than this, in CSS pixels, has no room for a sheet of paper. */
const PAPER_WIDE = 1100;

/**
 * @param {{ done: () => void, unit: () => Unit }} options
 */
export function measuring({ done, unit }) {
  let perMm = guess();
  /** Where the frame begins along its length, in CSS pixels: this edge stays while the other is moved. */
  let start = 0;
  /** @type {Thing['kind']} */
  let kind = 'card';
  /** Whether the painter has matched the frame: before that its size is a guess. */
  let matched = false;
  const why = h('p', { class: 'why' });
  const saying = h('p');
  const drawing = s('svg', { class: 'thing', 'aria-hidden': 'true' });
  const sliderId = freshId('slider');
  const slider = h('input', { id: sliderId, type: 'range', min: COARSEST, max: FINEST, oninput: () => match(Number(slider.value)) });
  const expect = h('p', { class: 'expect', role: 'status' });
  const kinds = choice({
    legend: 'What is laid on the glass',
    options: [['card', 'Bank card'], ['ruler', 'Ruler'], ['paper', 'Sheet of paper']],
    pick: (picked) => { kind = picked; matched = false; asItIs.hidden = true; place(); },
  });
  const next = button('This is its size', finish, { kind: 'next' });
  const asItIs = button('It matches as it is', () => { matched = true; finish(); });
  const later = button('Not now', () => done(), { kind: 'quiet' });
  const steps = [[-1, '−', 'A little smaller'], [1, '+', 'A little larger']].map(([by, sign, label]) =>
    button(String(sign), () => match(perMm + (Number(by) * FINE) / (thing().length * devicePixelRatio)), { name: String(label), repeats: true }));
  const element = h('section', { class: 'leaf measuring', 'aria-labelledby': 'measuring-title', hidden: true },
    h('h2', { id: 'measuring-title', tabindex: -1 }, 'How large is this screen?'),
    why, kinds.element, saying, drawing,
    h('div', { class: 'slide' }, h('label', { class: 'unseen', for: sliderId }, 'Size of the frame'), steps[0], slider, steps[1]),
    expect, h('div', { class: 'row' }, next, asItIs, later));

  /** @returns {Thing} */
  function thing() {
    const inches = unit() === 'inch';
    if (kind === 'card') {
      const { length, across } = CARD;
      // A telephone has no room for a card on its side, and the buttons with it.
      const [sides, way] = narrow() ? [{ length: across, across: length }, 'upright on the glass'] : [{ length, across }, 'on the glass'];
      return { kind, ...sides, slack: CARD_SLACK * sides.length, saying: `Lay a bank card ${way}, its left edge along the left edge of the frame, and move the slider until the frame is exactly as wide as the card. Bank cards are all of one size, 85.60 x 53.98 mm (ISO/IEC 7810).` };
    }
    if (kind === 'paper') {
      return {
        kind, length: inches ? PAPER.inch : PAPER.metric, across: 40, slack: PAPER_SLACK,
        saying: `Hold the short edge of a sheet of ${inches ? 'Letter (8 1/2 in)' : 'A4 (210 mm)'} to the bar and move the slider until both are equally long. Paper may be cut up to 2 mm short or long: a card or a ruler is better.`,
      };
    }
    const hundreds = room() > 900 ? 150 : room() > 560 ? 100 : room() > 50.8 * DENSEST ? 50 : 25;
    const length = inches ? { 150: 152.4, 100: 101.6, 50: 50.8, 25: 25.4 }[hundreds] ?? 25.4 : hundreds;
    return {
      kind, length, across: 22, slack: RULER_SLACK,
      saying: `Hold a ruler to the bar, gently if it is of metal, and move the slider until the bar is exactly ${inches ? `${Math.round(length / 25.4)} in` : `${length} mm`} long.`,
    };
  }

  /** A telephone held upright. */
  const narrow = () => innerWidth < 640 && innerHeight > innerWidth;
  /** How wide a frame can be, in CSS pixels. */
  const room = () => innerWidth - 2 * (narrow() ? SIDES.narrow : SIDES.wide);

  /** The painter matches the frame. @param {number} value */
  function match(value) {
    matched = true;
    asItIs.hidden = true;
    take(value);
  }

  /** @param {number} value */
  function take(value) {
    perMm = Math.min(Math.max(value, COARSEST), Number(slider.max));
    show();
  }

  /** Lays the frame out for what is laid on the glass; nothing on the page moves from then on but the frame's far edge. */
  function place() {
    const noPaper = innerWidth < PAPER_WIDE;
    kinds.element.querySelector('label:last-child')?.toggleAttribute('hidden', noPaper);
    if (noPaper && kind === 'paper') kind = 'card';
    kinds.set(kind);
    const { length, across, saying: words } = thing();
    setText(saying, words);
    start = narrow() ? 0 : Math.max((room() - length * perMm) / 2, 0);
    slider.step = String(FINE / (length * devicePixelRatio));
    // Larger than the screen it cannot be matched.
    slider.max = String(Math.max(Math.min(FINEST, (room() - start) / length), COARSEST + 0.1));
    drawing.setAttribute('width', String(room()));
    drawing.setAttribute('height', String(Math.min(across * perMm * SPARE, Math.max(innerHeight - WORDS, LEAST))));
    take(perMm);
  }

  function show() {
    const { length, across } = thing();
    slider.value = String(perMm);
    slider.setAttribute('aria-valuetext', `${Math.round(length * perMm)} screen pixels wide`);
    const corner = kind === 'card' ? CARD.corner * perMm : 0;
    // Filled and without an outline, whose own width would be an error.
    drawing.replaceChildren(s('rect', { x: start, width: length * perMm, height: across * perMm, rx: corner }));
    setText(expect, `Lengths will then be true to within ${errorText(error())}.`);
  }

  /** The largest error to expect: of the thing itself, and of the eye. */
  function error() {
    const { length, slack } = thing();
    return (slack + Math.max(BY_EYE, 0.5 / (perMm * devicePixelRatio))) / length;
  }

  function finish() {
    if (isPinched()) return setText(expect, 'The page is enlarged by a pinch. Bring it back to its own size first.');
    if (!matched) {
      asItIs.hidden = false;
      asItIs.focus();
      return setText(expect, 'The frame has not been moved yet, and its size is a guess. Hold the thing to it and move the slider. If it matches already, press “It matches as it is”.');
    }
    keepMeasured({ perMm, error: error() });
    done();
  }

  addEventListener('resize', () => !element.hidden && place());

  return {
    element,
    /** Why it is open; blank while it is not. */
    get reason() {
      return element.hidden ? '' : why.textContent;
    },
    /** Opens it, with a sentence that says why. @param {string} reason */
    open(reason) {
      perMm = guess();
      matched = false;
      asItIs.hidden = true;
      setText(why, reason);
      element.hidden = false;
      place();
      element.querySelector('h2')?.focus();
    },
    close() { element.hidden = true; },
  };
}
