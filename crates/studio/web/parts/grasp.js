// The wall itself under the fingers: one moves it, two move it and bring it nearer. Tells apart what was only a tap.

/** Where a pointer is on the screen. @typedef {{ clientX: number, clientY: number }} Place */

/** A pointer that moved less than this, in screen pixels, tapped. */
const TAP = 5;

export class Grasp {
  /** Where each finger was last. @type {Map<number, Place>} */
  #fingers = new Map();
  #travelled = 0;

  /** @param {(from: Place, to: Place, factor: number) => void} drag what was at one place goes to another, so many times as large */
  constructor(drag) {
    this.drag = drag;
  }

  /** @param {PointerEvent} event */
  down({ pointerId, clientX, clientY }) {
    if (this.#fingers.size === 0) this.#travelled = 0;
    this.#fingers.set(pointerId, { clientX, clientY });
    // Two fingers never tap.
    if (this.#fingers.size > 1) this.#travelled = TAP;
  }

  /** @param {PointerEvent} event */
  move({ pointerId, clientX, clientY }) {
    const last = this.#fingers.get(pointerId);
    if (!last) return;
    const now = { clientX, clientY };
    this.#travelled += distance(last, now);
    if (this.#travelled < TAP) return;
    this.#fingers.set(pointerId, now);
    const other = [...this.#fingers].find(([id]) => id !== pointerId)?.[1];
    if (!other) return this.drag(last, now, 1);
    this.drag(between(last, other), between(now, other), distance(now, other) / Math.max(distance(last, other), 1));
  }

  /** Whether the finger that leaves has tapped. @param {PointerEvent} event */
  up({ pointerId }) {
    return this.#fingers.delete(pointerId) && this.#fingers.size === 0 && this.#travelled < TAP;
  }
}

/** @param {Place} one @param {Place} other */
const distance = (one, other) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);

/** @param {Place} one @param {Place} other @returns {Place} */
const between = (one, other) => ({ clientX: (one.clientX + other.clientX) / 2, clientY: (one.clientY + other.clientY) / 2 });
