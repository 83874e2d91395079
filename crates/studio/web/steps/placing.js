// Step 3, Placing: where the photo lies on the canvas and how large the head is.

import { arrowStep } from '../parts/measure.js';
import { asEdit, hold, shifted } from '../parts/hold.js';
import { button, field, row, tick, troubleLine } from '../parts/controls.js';
import { dimensions, foot, textScale } from '../parts/dimensions.js';
import { freshId, h, s } from '../parts/dom.js';
import { exposure } from '../parts/exposure.js';
import { Handles } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';
import { setSentence } from '../parts/measure.js';
import { cross, sidesOf, twinLines } from '../parts/lines.js';

/** @import { Edit, Guide, Side, View, Xy } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @type {[Side, string][]} */
const SIDES = [['top', 'Above'], ['right', 'Right'], ['bottom', 'Below'], ['left', 'Left']];
/** Where crown and chin are first laid, until the painter has set them: shares of the canvas's height, for a head and shoulders. */
const FIRST_MARKS = [0.18, 0.55];
/** What each is called among the landmarks, where one waits that was set without the other. */
const MARK_NAMES = ['crown', 'chin'];
/** While the photo is moved, the page moves it; what the figures say is asked for this often, in ms: as often as they can be read. */
const FIGURES_EVERY = 80;

/** @param {Desk} desk @returns {Step} */
export function placing(desk) {
  const { painting, stage, sight } = desk;
  const trouble = troubleLine(painting);
  const say = (/** @type {Promise<unknown>} */ promise) => trouble.act(promise);
  const edit = (/** @type {Edit} */ made) => painting.edit(made);

  const spaces = SIDES.map(([side, label]) => field({ label, commit: (space) => edit({ reference: { do: 'space', side, space } }) }));
  const headHeight = field({ label: 'Head', commit: (height) => setHeight(height) });
  const about = h('div', { class: 'about', role: 'group', 'aria-label': 'The head’s height, and the spaces around it' });
  ['above', 'right', 'below', 'left'].forEach((place, index) => {
    const space = spaces[index];
    if (!space) return;
    space.element.classList.add(place);
    about.append(space.element);
  });
  headHeight.element.classList.add('middle');
  about.append(headHeight.element);
  const counted = h('p', { class: 'hint', id: freshId('counted') }, 'Above is to the crown and below to the chin; left and right are to the middle of the head. Its height is from crown to chin, along its lean where it leans.');
  about.setAttribute('aria-describedby', counted.id);

  /** How high the head was said to be, before its marks were put right. */
  let said = '';
  const saidBefore = h('p', { class: 'remark', role: 'status' });
  const asSaid = button('', () => say(setHeight(said)));
  /** @param {string} height */
  function setHeight(height) {
    said = '';
    return edit({ reference: { do: 'head-height', height } });
  }
  /** Marks the head. The picture stays under the finger, so that the head has another height then. @param {Xy[]} points */
  function putRight(points) {
    const { reference } = painting.state.view;
    const stood = reference?.place === 'head' ? reference.head?.height ?? '' : said;
    return edit(markHead(points)).then((state) => {
      said = stood !== state.view.reference?.head?.height ? stood : '';
      update(painting.view);
      return state;
    });
  }

  const warning = h('p', { class: 'remark' });
  const light = exposure(desk);
  const open = h('p', { class: 'remark' });
  const along = h('p', { class: 'remark' });
  const fit = button('Show it whole', () => say(edit({ reference: { do: 'fit' } })));
  const fill = button('Cover the canvas', () => say(edit({ reference: { do: 'fill' } })));
  const mark = button('Mark crown and chin', () => lead(true), { kind: 'next' });
  const leading = h('div', { class: 'stack', hidden: true },
    h('p', { class: 'remark', role: 'status' }, 'The marks lie where a head may be. Put “crown” on the top of the head and “chin” under the chin.'),
    row(button('Both lie right', () => say(lieRight()), { kind: 'next' }), button('Not now', () => lead(false), { kind: 'quiet' })));
  const forget = button('Forget crown and chin', () => say(edit({ reference: { do: 'forget-head' } })), { kind: 'quiet' });
  const held = inHand({
    legend: 'In hand',
    things: [['photo', 'Photo'], ['0', 'Crown'], ['1', 'Chin']],
    take: (key) => marks.reveal(Number(key)),
    nudge(key, steps) {
      if (key === 'photo') return photo.nudge(steps);
      photo.finish();
      return marks.nudge(Number(key), steps);
    },
    hint: 'Arrow keys do the same, with Shift ten times as far. With the photo in hand, the wheel and two fingers make it larger or smaller. With crown or chin in hand, a tap on the canvas sets it there, and the wheel and two fingers look nearer.',
  });
  const guides = guideTicks(desk);
  const waits = h('p', { class: 'remark' }, 'Bring in the photo first, in line 1.');
  const body = h('div', { class: 'stack' },
    mark, leading, about, saidBefore, asSaid, counted, warning, light.element, open, along,
    row(fit, fill),
    held.element,
    row(button('Larger', () => photo.larger(2)), button('Smaller', () => photo.larger(-2)), forget),
    guides.element);
  const panel = h('div', { class: 'stack' }, waits, body, trouble.element);

  /** Whether the marks are shown although the painter has not set both: where they lie then is a guess, and no part of the plan. */
  let isLed = false;
  /** The mark that was moved last. */
  let moved = 0;
  const step = () => arrowStep(painting.view.unit);
  const marks = new Handles(stage, {
    points: [{ name: 'Crown', look: 'crown' }, { name: 'Chin', look: 'chin' }],
    step,
    loupe: true,
    hold(index, points) {
      moved = index;
      if (painting.state.view.reference?.head) void painting.try(markHead(points));
    },
    done: (points) => say(painting.state.view.reference?.head ? putRight(points) : edit(markOne(moved, points))),
    cancel: () => painting.endTry(),
    taken: (index) => held.take(String(index)),
    inHand: () => Number(held.key),
  });

  /** What was shown when the photo was taken hold of. @type {View} */
  let base;
  const photo = hold(stage, {
    step,
    scales: () => held.key === 'photo',
    begin() {
      marks.settle();
      base = desk.view;
      return base.reference !== null;
    },
    move(shift) {
      void painting.try(asEdit(shift), FIGURES_EVERY);
      desk.runAhead((view) => shifted(view, base, shift));
    },
    done(shift, isDragged) {
      // What was dragged is in hand: the arrows go on with it.
      if (isDragged && !isLed) held.take('photo');
      if (shift.factor !== 1) said = '';
      say(desk.editAhead(asEdit(shift)));
    },
    cancel() {
      painting.endTry();
      desk.runAhead(null);
    },
    arrow(steps) {
      if (held.key === 'photo' || !marks.shown) return false;
      photo.finish();
      marks.nudge(Number(held.key), steps);
      return true;
    },
    tap(at) {
      if (held.key === 'photo' || !marks.shown) return;
      const set = held.key;
      marks.set(Number(set), at);
      // While both are set for the first time, the next touch is meant for the other.
      if (isLed && set === '0') held.take('1');
    },
  });

  /** Shows the marks to be set, or puts them away. @param {boolean} on */
  function lead(on) {
    isLed = on;
    update(painting.view);
    stage.draw();
    // What was pressed is hidden now.
    (on ? marks.buttons[0] : mark)?.focus();
  }

  /** Takes the marks as set where they lie. */
  async function lieRight() {
    await edit(markHead(marks.points));
    marks.buttons[0]?.focus();
  }

  /** Where the marks lie: where the painter set them, or else where they are first laid; null if there are none to show. @param {View} view @returns {Xy[] | null} */
  function marked(view) {
    const head = view.reference?.head;
    if (head) return [head.crown, head.chin];
    if (!isLed) return null;
    const [width, height] = stage.size;
    return MARK_NAMES.map((name, index) => {
      const set = view.likeness.landmarks.find((landmark) => landmark.name === name);
      return set?.at ?? [width / 2, height * (FIRST_MARKS[index] ?? 0)];
    });
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const points = marked(stage.view);
    const head = stage.view.reference?.head;
    marks.show(Boolean(points));
    if (points) marks.lay(points);
    stage.overlay.replaceChildren(...(head ? headDrawing(stage.view, marks.points, stage) : points ? markWords(marks.points, stage.px) : []));
  });

  /** @param {View} view */
  function update(view) {
    const { reference } = view;
    waits.hidden = Boolean(reference);
    body.hidden = !reference;
    if (!reference) return;
    const { head } = reference;
    isLed &&= !head;
    headHeight.element.hidden = counted.hidden = !head;
    headHeight.set(head?.height ?? '');
    if (!head || reference.place === 'head') said = '';
    asSaid.hidden = !said;
    setSentence(saidBefore, said && head ? `By its new marks the head is ${head.height} high.` : '');
    setSentence(asSaid, said ? `Make it ${said} again` : '');
    (head?.spaces ?? reference.spaces).forEach((space, index) => spaces[index]?.set(space));
    setSentence(warning, [head?.off_canvas, head?.larger_than_life].filter(Boolean).join(' '));
    setSentence(along, withPhoto(view));
    light.update(view);
    setSentence(open, reference.covers);
    mark.hidden = Boolean(head) || isLed;
    leading.hidden = !isLed;
    forget.hidden = !head;
    held.element.classList.toggle('without-head', !head && !isLed);
    if (!head && !isLed) held.take('photo');
    guides.update(view);
  }

  return {
    panel,
    update,
    open() {
      isOpen = true;
      sight.want({ beyond: true, details: false, guides: true });
      stage.give(photo.hand, 'The photo on the canvas. Arrow keys move what is in hand, plus and minus scale the photo.');
    },
    close() {
      photo.finish();
      isOpen = false;
      marks.show(false);
      stage.overlay.replaceChildren();
      stage.give({});
    },
  };
}

/** Which detail boxes go where the photo goes, in words. @param {View} view */
function withPhoto({ details }) {
  const count = details.filter(({ on_photo: isOn }) => isOn).length;
  if (count === 0) return '';
  return count === 1 ? 'The detail box on the photo goes along with it.' : `The ${count} detail boxes on the photo go along with it.`;
}

/** @param {Xy[]} points @returns {Edit} */
const markHead = ([crown = [0, 0], chin = [0, 0]]) => ({ reference: { do: 'mark-head', crown, chin } });

/** What each mark is called, beside it, until both are set. @param {Xy[]} points @param {number} px */
const markWords = (points, px) => points.map(([x, y], index) =>
  s('text', { x: x + 26 * px, y: y + 5 * px, 'font-size': 15 * textScale() * px, class: 'over-picture' }, MARK_NAMES[index] ?? ''));

/** One of them set, which waits among the landmarks for the other. @param {number} index @param {Xy[]} points @returns {Edit} */
const markOne = (index, points) => ({ likeness: { do: 'landmark', name: MARK_NAMES[index] ?? '', at: points[index] ?? [0, 0] } });

/** The guide lines that help to compose; they are looked at and never printed. @param {Desk} desk */
function guideTicks({ sight }) {
  /** @type {Map<Guide, ReturnType<typeof tick>>} */
  const ticks = new Map();
  const box = h('div', { class: 'options' });
  const element = h('fieldset', { class: 'choice' }, h('legend', {}, 'Guide lines, to look at only'), box);
  return {
    element,
    /** @param {View} view */
    update(view) {
      for (const { guide, name } of view.guides) {
        let one = ticks.get(guide);
        if (!one) {
          one = tick({
            label: name,
            pick: (on) => sight.look({ guides: on ? [...sight.looks.guides, guide] : sight.looks.guides.filter((shown) => shown !== guide) }),
          });
          ticks.set(guide, one);
          box.append(one.element);
        }
        one.set(sight.looks.guides.includes(guide));
      }
    },
  };
}

/**
 * The head's height and the spaces around it, as dimension lines on the canvas. Each line is exactly as long as its figure
 * says: from a side of the canvas to crown, chin or the middle of the head, straight across, as the plan counts it.
 * @param {View} view @param {Xy[]} points crown and chin as they are held @param {import('../stage.js').Stage} stage
 */
function headDrawing(view, [crown = [0, 0], chin = [0, 0]], stage) {
  const { px, size: [width] } = stage;
  const head = view.reference?.head;
  if (!head) return [];
  const half = 34 * px;
  /** @type {Xy} */
  const middle = [(crown[0] + chin[0]) / 2, (crown[1] + chin[1]) / 2];
  const [top, right, bottom, left] = head.spaces;
  const [a, b, c, d] = view.canvas.outline;
  const aside = besideHead(crown, chin, Math.min(46 * px, width - 70 * px - Math.max(crown[0], chin[0])));
  return [
    ...twinLines([
      [crown[0] - half, crown[1], crown[0] + half, crown[1]],
      [chin[0] - half, chin[1], chin[0] + half, chin[1]],
    ], { px, width: 1.5 }),
    ...cross(middle, px),
    ...view.details.filter(({ on_photo: isOn }) => isOn).flatMap(({ rect }) => twinLines(sidesOf(rect), { px, dash: '6 4' })),
    ...dimensions([
      { from: foot(crown, a, b), to: crown, text: top },
      { from: chin, to: foot(chin, d, c), text: bottom },
      { from: foot(middle, a, d), to: middle, text: left },
      { from: middle, to: foot(middle, b, c), text: right },
      // Its figure keeps above the lines to left and right.
      { from: aside[0], to: aside[1], text: head.height, share: 0.25 },
    ], stage),
  ];
}

/** The line from crown to chin, moved sideways, to the right of an upright head. @param {Xy} crown @param {Xy} chin @param {number} by @returns {[Xy, Xy]} */
function besideHead(crown, chin, by) {
  const [dx, dy] = [chin[0] - crown[0], chin[1] - crown[1]];
  const length = Math.hypot(dx, dy) || 1;
  const [right, down] = [(dy / length) * by, (-dx / length) * by];
  return [[crown[0] + right, crown[1] + down], [chin[0] + right, chin[1] + down]];
}
