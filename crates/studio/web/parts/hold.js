// The photo under the fingers: one finger moves it, two fingers move and scale it, the wheel scales it about the
// pointer, arrow keys move it and plus and minus scale it. All of it adds up to one change of scale and place.

import { arrow } from './handles.js';

/** @import { Edit, Matrix, RectMm, View, Xy } from '../api.js' */
/** @import { Hand, Stage } from '../stage.js' */

/** Scales by `factor` about the canvas's origin, then moves. In mm. @typedef {{ factor: number, move: Xy }} Shift */

/** Wheel and keys at rest for this long are one change, in ms. */
const AT_REST = 350;
/** A pointer that moved less than this, in screen pixels, tapped. */
const TAP = 5;
/** One that moved so far was not meant as a tap. */
const DRAG = 16;
/** A wheel's notch is about 100 units: 8 % larger or smaller. */
const PER_WHEEL_UNIT = 0.0008;
/** Plus and minus scale by so much. */
const PER_KEY = 1.005;

/**
 * @param {Stage} stage
 * @param {{ step: () => number, scales: () => boolean, begin: () => boolean, move: (shift: Shift) => void, done: (shift: Shift, isDragged: boolean) => void,
 *           cancel: () => void, tap: (at: Xy) => void, arrow: (steps: Xy) => boolean }} wishes `begin` says whether there is anything to move, `arrow` whether something else in hand was moved in its place, `scales` whether two fingers and the wheel scale it rather than look nearer
 */
export function hold(stage, wishes) {
  /** Where each finger was last. @type {Map<number, Xy>} */
  const fingers = new Map();
  /** @type {Shift | null} */
  let shift = null;
  let travelled = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;

  /** @param {number} factor @param {Xy} move */
  function add(factor, move) {
    if (!shift && !wishes.begin()) return;
    const before = shift ?? { factor: 1, move: [0, 0] };
    shift = {
      factor: before.factor * factor,
      move: [before.move[0] * factor + move[0], before.move[1] * factor + move[1]],
    };
    wishes.move(shift);
  }

  /** @param {boolean} [isDragged] whether it was moved by a drag that is not a tap that slipped */
  function finish(isDragged = false) {
    clearTimeout(rest);
    if (shift) wishes.done(shift, isDragged);
    shift = null;
  }

  function finishAtRest() {
    clearTimeout(rest);
    rest = setTimeout(finish, AT_REST);
  }

  /** @param {number} factor @param {Xy} about */
  const scale = (factor, [x, y]) => add(factor, [x * (1 - factor), y * (1 - factor)]);

  /** @type {Hand} */
  const hand = {
    get hasTwoFingers() { return wishes.scales(); },
    drop: () => hand.cancel?.(),
    down(event, at) {
      if (fingers.size === 0) {
        finish();
        travelled = 0;
      }
      if (fingers.size < 2) fingers.set(event.pointerId, at);
    },
    move(event, at) {
      const last = fingers.get(event.pointerId);
      if (!last) return;
      travelled += Math.hypot(at[0] - last[0], at[1] - last[1]) / stage.px;
      if (travelled < TAP) return;
      const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const factor = Math.hypot(at[0] - other[0], at[1] - other[1]) / Math.max(Math.hypot(last[0] - other[0], last[1] - other[1]), stage.px);
        const middle = (/** @type {Xy} */ point) => /** @type {Xy} */ ([(point[0] + other[0]) / 2, (point[1] + other[1]) / 2]);
        const [from, to] = [middle(last), middle(at)];
        add(factor, [to[0] - from[0] * factor, to[1] - from[1] * factor]);
      } else {
        add(1, [at[0] - last[0], at[1] - last[1]]);
      }
      fingers.set(event.pointerId, at);
    },
    up(event, at) {
      if (!fingers.delete(event.pointerId) || fingers.size > 0) return;
      if (shift) finish(travelled >= DRAG);
      else if (travelled < TAP) wishes.tap(at);
    },
    wheel(event, at) {
      if (!wishes.scales()) return false;
      scale(Math.exp(-event.deltaY * PER_WHEEL_UNIT), at);
      finishAtRest();
      return true;
    },
    key(event) {
      const steps = arrow(event);
      if (steps) {
        if (!wishes.arrow(steps)) nudge(steps);
      } else if (event.key === '+' || event.key === '=') larger(1);
      else if (event.key === '-') larger(-1);
    },
    cancel() {
      clearTimeout(rest);
      fingers.clear();
      if (shift) wishes.cancel();
      shift = null;
    },
  };

  /** @param {Xy} steps */
  function nudge([right, down]) {
    add(1, [right * wishes.step(), down * wishes.step()]);
    finishAtRest();
  }

  /** @param {number} steps larger, or smaller if negative, about the canvas's middle */
  function larger(steps) {
    scale(PER_KEY ** steps, [stage.size[0] / 2, stage.size[1] / 2]);
    finishAtRest();
  }

  return { hand, nudge, larger, finish };
}

/** The shift as an edit. @param {Shift} shift @returns {Edit} */
export function asEdit({ factor, move: [right, down] }) {
  if (Math.abs(factor - 1) < 1e-9) return { reference: { do: 'move', right, down } };
  return { reference: { do: 'scale', factor, about: [right / (1 - factor), down / (1 - factor)] } };
}

/**
 * A view with the photo, and the head and the detail boxes on it, shifted from where they lay in `base`.
 * @param {View} view @param {View} base @param {Shift} shift
 * @returns {View}
 */
export function shifted(view, base, { factor, move }) {
  if (!view.reference || !base.reference) return view;
  const [a, b, c, d, e, f] = base.reference.matrix;
  /** @type {Matrix} */
  const matrix = [a * factor, b * factor, c * factor, d * factor, e * factor + move[0], f * factor + move[1]];
  const at = (/** @type {Xy} */ [x, y]) => /** @type {Xy} */ ([x * factor + move[0], y * factor + move[1]]);
  const head = view.reference.head && base.reference.head
    ? { ...view.reference.head, crown: at(base.reference.head.crown), chin: at(base.reference.head.chin) }
    : view.reference.head;
  const details = view.details.map((detail, index) => {
    const from = base.details[index];
    if (!from?.on_photo) return detail;
    const [left, top, width, height] = from.rect;
    return { ...detail, rect: /** @type {RectMm} */ ([...at([left, top]), width * factor, height * factor]) };
  });
  return { ...view, details, reference: { ...view.reference, matrix, head } };
}
