// The wall itself under the fingers: one moves it where nothing else is dragged, two move it and bring it nearer, whatever they are on.
// Tells apart what was only a tap, and a hand that rests on the glass beside a pen.

/** Where a pointer is on the screen. @typedef {{ clientX: number, clientY: number }} Place */

/** A pointer that went no farther than this from where it came down, in screen pixels, tapped. */
const TAP = 5;

export class Grasp {
  /** Where each finger was last. @type {Map<number, Place>} */
  #fingers = new Map();
  /** Where the first came down. @type {Place} */
  #began = { clientX: 0, clientY: 0 };
  #moved = false;
  #pinches = false;
  #byPen = false;

  /** @param {(from: Place, to: Place, factor: number) => void} drag what was at one place goes to another, so many times as large */
  constructor(drag) {
    this.drag = drag;
  }

  /** Whether two fingers are, or were, on the wall: until the last has gone they hold nothing else. */
  get pinches() {
    return this.#pinches;
  }

  /** Whether anything is on the wall. */
  get isHeld() {
    return this.#fingers.size > 0;
  }

  /** Whether this pointer counts: a hand beside a pen does not. @param {PointerEvent} event */
  down({ pointerId, pointerType, clientX, clientY }) {
    const place = { clientX, clientY };
    if (!this.isHeld) {
      [this.#began, this.#moved, this.#pinches, this.#byPen] = [place, false, false, pointerType === 'pen'];
    } else if (this.#byPen) return false;
    this.#fingers.set(pointerId, place);
    this.#pinches ||= this.#fingers.size > 1;
    return true;
  }

  /** @param {PointerEvent} event @param {boolean} drags whether one finger drags the wall */
  move({ pointerId, clientX, clientY }, drags) {
    const last = this.#fingers.get(pointerId);
    if (!last) return;
    const now = { clientX, clientY };
    this.#moved ||= distance(this.#began, now) >= TAP;
    if (!this.#moved && !this.#pinches) return;
    this.#fingers.set(pointerId, now);
    const other = [...this.#fingers].find(([id]) => id !== pointerId)?.[1];
    if (other) this.drag(between(last, other), between(now, other), distance(now, other) / Math.max(distance(last, other), 1));
    else if (drags || this.#pinches) this.drag(last, now, 1);
  }

  /** Whether the finger that leaves has tapped. @param {PointerEvent} event */
  up({ pointerId }) {
    return this.#fingers.delete(pointerId) && !this.isHeld && !this.#moved && !this.#pinches;
  }
}

/** @param {Place} one @param {Place} other */
const distance = (one, other) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);

/** @param {Place} one @param {Place} other @returns {Place} */
const between = (one, other) => ({ clientX: (one.clientX + other.clientX) / 2, clientY: (one.clientY + other.clientY) / 2 });
