// Part of the check: where the canvas lies in the photo of it. Proposed as far as its edges can be followed, moved by the
// painter, and confirmed by her: nothing is measured before.

import { button, choice, row, tick, troubleLine } from '../parts/controls.js';
import { closed, twinLines } from '../parts/lines.js';
import { h, s, setText } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';

/** @import { CanvasPhotoView, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** @typedef {[Xy, Xy, Xy, Xy]} Four */
/** What is known before: the check that is measured anew, or the phone whose lens card it is. @typedef {{ corners: Four | null, middles: Four | null, number: number | null, phone: string | null }} From */
/** What the painter confirmed. @typedef {{ photo: string, corners: Four, middles: Four | null, as_proposed: boolean, from: From }} Confirmed */

/** @type {[key: string, name: string][]} */
const CORNERS = [['0', 'Top left'], ['1', 'Top right'], ['2', 'Bottom right'], ['3', 'Bottom left']];
/** @type {[key: string, name: string][]} */
const MIDDLES = [['4', 'Top'], ['5', 'Right'], ['6', 'Bottom'], ['7', 'Left']];
const NAMES = ['Likeliest', 'Second', 'Third'];
/** Where the canvas's own top lies in the photo, clockwise, as often as its corners are turned. @type {[key: string, name: string][]} */
const TOPS = [['0', 'At the top'], ['1', 'At the right'], ['2', 'At the bottom'], ['3', 'At the left']];
/** Where the corners first lie where nothing was found: this share of the photo's sides in from its edges. */
const FIRST_INSET = 0.15;

/** @param {Desk} desk @param {{ confirm: (confirmed: Confirmed) => void, leave: () => void }} wishes */
export function outlineInset(desk, { confirm, leave }) {
  const { painting, stage } = desk;
  /** @type {CanvasPhotoView | null} */
  let photo = null;
  /** @type {From} */
  let from = { corners: null, middles: null, number: null, phone: null };
  /** Whether the corners lie as they were proposed. */
  let asProposed = false;
  let eight = false;
  /** Where the corners were first laid, while nobody knows where the canvas lies. @type {Xy[]} */
  let laidBlind = [];
  const trouble = troubleLine(painting);

  const remark = h('p', { class: 'remark' });
  const which = h('div', {});
  const middlesToo = tick({ label: 'The edges cannot be followed: set their middles too', pick: (on) => { eight = on; lay(); } });
  const held = inHand({
    legend: 'Corner in hand', things: CORNERS, take: (key) => points.reveal(Number(key)), nudge: (key, steps) => points.nudge(Number(key), steps),
    hint: 'Drag a corner under the loupe, or tap to set the corner in hand. Arrow keys move it by a pixel, with Shift by ten.',
  });
  const heldMiddle = inHand({
    legend: 'Middle in hand', things: MIDDLES, take: (key) => points.reveal(Number(key)), nudge: (key, steps) => points.nudge(Number(key), steps),
    hint: 'Anywhere near the middle of an edge will do, but on the edge.',
  });
  heldMiddle.element.querySelector('.arrows')?.setAttribute('aria-label', 'Move the middle in hand');
  const points = new Handles(stage, {
    points: [...CORNERS.map(([, name]) => ({ name: `${name} corner of the canvas`, look: 'corner' })),
      ...MIDDLES.map(([, name]) => ({ name: `Middle of the ${name.toLowerCase()} edge`, look: 'end' }))],
    step: () => 1,
    loupe: true,
    hold: () => { asProposed = false; stage.draw(); },
    done: () => { trouble.say(''); stage.draw(); },
    cancel: () => stage.draw(),
    taken: (index) => (index < 4 ? held : heldMiddle).take(String(index)),
    inHand: () => Number(held.key),
  });
  const topLies = choice({ legend: 'The canvas’s top lies, in the photo', options: TOPS, pick: (value) => turn(Number(value)) });
  const title = h('h3', {});
  const yes = button('', () => {
    if (!photo) return;
    const [corners, middles] = [fourOf(points.points), fourOf(points.points.slice(4))];
    // The corners may have been called anew, by where the canvas's top lies, and lie where they did.
    const unset = laidBlind.length > 0 && laidBlind.every(([x, y]) => corners.some((corner) => corner[0] === x && corner[1] === y));
    if (unset) return trouble.say(from.phone === null ? 'Set the corners on those of your canvas first.' : 'Set the marks on the crosses first.');
    trouble.say('');
    confirm({ photo: photo.photo, corners, middles: eight ? middles : null, as_proposed: asProposed && !eight, from });
  }, { kind: 'next' });
  const buttons = row(yes, button('Leave it', () => leave(), { kind: 'quiet' }));
  const element = h('div', { class: 'stack', hidden: true },
    title, remark, which, topLies.element, buttons, trouble.element, held.element, middlesToo.element, heldMiddle.element);

  /** @param {Four} corners @param {Four | null} [middles] */
  function start(corners, middles = null) {
    points.lay([...corners, ...(middles ?? middlesOf(corners))]);
  }

  /** Calls the corners, and the middles between them, so that the canvas's own top lies there. @param {number} where see {@link TOPS} */
  function turn(where) {
    const [corners, middles] = [fourOf(points.points), fourOf(points.points.slice(4))];
    const by = where - topOf(corners);
    points.lay([...turned(corners, by), ...turned(middles, by)]);
    stage.draw();
  }

  function lay() {
    middlesToo.set(eight);
    heldMiddle.element.hidden = !eight;
    stage.draw();
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen) return;
    points.lay(points.points);
    for (const [index, grip] of points.buttons.entries()) grip.hidden = index > 3 && !eight;
    const [a, b, c, d, top, right, bottom, left] = points.points;
    if (!a || !b || !c || !d || !top || !right || !bottom || !left) return;
    const around = eight ? [a, top, b, right, c, bottom, d, left] : [a, b, c, d];
    topLies.set(String(topOf([a, b, c, d])));
    stage.overlay.replaceChildren(...twinLines(closed(around), { px: stage.px, width: 1.5 }), ...(from.phone === null ? [topName([a, b, c, d], stage.px)] : []));
  });

  return {
    element, buttons,
    get isOpen() { return isOpen; },
    /** @param {CanvasPhotoView} of @param {From} starting */
    open(of, starting) {
      photo = of;
      from = starting;
      isOpen = true;
      element.hidden = false;
      const [width, height] = of.size;
      const [x, y] = [width * FIRST_INSET, height * FIRST_INSET];
      const proposed = of.outlines[0];
      const card = starting.phone !== null;
      eight = !card && (Boolean(starting.middles) || (!proposed && !starting.corners));
      asProposed = Boolean(proposed) && !starting.corners && !card;
      setText(title, card ? 'Where are the crosses 1 to 4?' : 'Where is the canvas?');
      setText(yes, card ? 'Measure the lens' : 'Yes, this is my canvas');
      middlesToo.element.hidden = topLies.element.hidden = card;
      const known = starting.corners ?? (!card && proposed ? fourOf(proposed) : null);
      /** @type {Four} */
      const first = [[x, y], [width - x, y], [width - x, height - y], [x, height - y]];
      laidBlind = known ? [] : first;
      trouble.say('');
      start(known ?? first, starting.middles);
      setText(remark, card ? 'Set each mark on the middle of its cross: 1 is top left, and so on clockwise.' : of.remark ?? 'Look whether the line lies on the edges of the canvas’s front, all around. Nothing is measured before you have said so.');
      const options = (card ? [] : of.outlines).map((_, index) => /** @type {[string, string]} */ ([String(index), NAMES[index] ?? String(index + 1)]));
      const pick = choice({
        legend: 'What was found', options,
        pick: (value) => {
          const chosen = of.outlines[Number(value)];
          if (!chosen) return;
          start(fourOf(chosen));
          asProposed = true;
          stage.draw();
        },
      });
      pick.set('0');
      which.replaceChildren(...(options.length > 1 ? [pick.element] : []));
      points.show(true);
      stage.give({
        tap: (_, at) => points.set(Number(held.key), at),
        cancel: () => points.cancel(),
        key(event) {
          const steps = arrow(event);
          if (steps) points.nudge(Number(held.key), steps);
        },
      }, 'The photo of the canvas. Arrow keys move the corner in hand.');
      stage.turnTo({ href: of.picture, size: of.size });
      lay();
      buttons.scrollIntoView({ block: 'nearest' });
    },
    close() {
      if (!isOpen) return;
      isOpen = false;
      element.hidden = true;
      points.show(false);
      stage.overlay.replaceChildren();
      stage.give({});
      stage.turnTo('canvas');
    },
  };
}

/** The handles stand on four corners. @param {Xy[]} points @returns {Four} */
const fourOf = ([a = [0, 0], b = [0, 0], c = [0, 0], d = [0, 0]]) => [a, b, c, d];

/** Which way the canvas's own top faces in the photo, by the places of its corners. @param {Four} corners @returns {number} see {@link TOPS} */
function topOf([a, b]) {
  const [right, down] = [b[0] - a[0], b[1] - a[1]];
  if (Math.abs(right) >= Math.abs(down)) return right >= 0 ? 0 : 2;
  return down >= 0 ? 1 : 3;
}

/** The same four, beginning `by` further on, clockwise. @param {Four} four @param {number} by from -3 to 3 @returns {Four} */
const turned = (four, by) => fourOf(four.map((_, at) => four[(at + by + 4) % 4] ?? [0, 0]));

/** The word “Top” inside the canvas at its top, so that it is seen which way round it was taken. @param {Four} corners @param {number} px */
function topName([a, b, c, d], px) {
  const [x, y] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [right, down] = [(c[0] + d[0]) / 2 - x, (c[1] + d[1]) / 2 - y];
  const inward = (26 * px) / (Math.hypot(right, down) || 1);
  return s('text', { x: x + right * inward, y: y + down * inward + 6 * px, 'text-anchor': 'middle', 'font-size': 18 * px, class: 'over-picture' }, 'Top');
}

/** Halfway along each side: top, right, bottom, left. @param {Four} corners @returns {Four} */
function middlesOf([a, b, c, d]) {
  const half = (/** @type {Xy} */ one, /** @type {Xy} */ other) => /** @type {Xy} */ ([(one[0] + other[0]) / 2, (one[1] + other[1]) / 2]);
  return [half(a, b), half(b, c), half(c, d), half(d, a)];
}
