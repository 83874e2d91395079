// Points that can be taken hold of on the stage: dragged with a finger, moved by arrow keys, or set by a tap.
// Each is a button of 44 px, whatever its drawn size, lying over the picture.

import { h } from './dom.js';

/** @import { Xy } from '../api.js' */
/** @import { Stage } from '../stage.js' */

/** Arrow keys at rest for this long are one move, in ms. */
const AT_REST = 350;
/** A point that keys moved, or that the focus came to, stays under the loupe so long, in ms. */
const LINGERS = 4000;
/** A finger that moves less than this, in px, has tapped, unless it rested so long, in ms: under the loupe small moves are meant. */
const TAP = 4;
const RESTED = 300;
/** Shift moves so many steps at once. */
const LONG = 10;

/** @type {Record<string, Xy>} */
export const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * How far an arrow key asks to move, in steps; null for any other key.
 * @param {KeyboardEvent} event
 * @returns {Xy | null}
 */
export function arrow(event) {
  const way = ARROWS[event.key];
  if (!way || event.ctrlKey || event.metaKey || event.altKey) return null;
  event.preventDefault();
  const steps = event.shiftKey ? LONG : 1;
  return [way[0] * steps, way[1] * steps];
}

/**
 * @typedef {object} Wishes
 * @property {{ name: string, look: string }[]} points what each point is called, and the class of its drawing
 * @property {() => number} step how far an arrow key moves, in the stage's unit
 * @property {(index: number, points: Xy[]) => void} hold a point moves under the finger
 * @property {(points: Xy[]) => Promise<unknown> | void} done it has been let go; until what is promised has come, points stay where they are
 * @property {() => void} [cancel] the hold was given up
 * @property {(index: number) => void} [taken] a point was chosen
 * @property {() => number} [inHand] which point a tap on the stage sets: a tap beside it is within its button, and sets it as well
 * @property {(index: number, at: Xy, pointer: string) => void} [tapped] what such a tap does, where it does more than set the point; `pointer` is its kind
 * @property {(index: number, steps: Xy) => void} [keyed] what arrow keys on a point do, where that is more than to move it
 * @property {boolean} [loupe] whether the loupe shows what the finger hides
 * @property {(at: Xy) => Xy} [snap] where a point comes to lie that a finger drags there
 */

export class Handles {
  /** @type {Xy[]} */
  #points = [];
  /** Where the points were when the hold began. @type {Xy[] | null} */
  #before = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #rest;
  /** The point that keys moved last. */
  #nudged = 0;
  /** How many holds that are let go the plan does not know of yet. */
  #unsettled = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #lingering;

  /** @param {Stage} stage @param {Wishes} wishes */
  constructor(stage, wishes) {
    this.stage = stage;
    this.wishes = wishes;
    this.buttons = wishes.points.map(({ name, look }, index) => this.#make(name, look, index));
    this.shown = false;
    stage.addEventListener('drop', () => this.cancel());
  }

  /** The point in hand; null where none is. @returns {Xy | null} */
  get inHand() {
    return this.#points[this.wishes.inHand?.() ?? -1] ?? null;
  }

  /** True while a point is held: then it lies where the finger is, whatever the plan says. */
  get held() {
    return this.#before !== null;
  }

  /** @returns {Xy[]} */
  get points() {
    return this.#points;
  }

  /** @param {boolean} on */
  show(on) {
    if (on === this.shown) return;
    this.shown = on;
    if (on) {
      this.stage.handles.append(...this.buttons);
      this.stage.holders.add(this);
    } else {
      this.stage.holders.delete(this);
      this.#lookAway();
      for (const button of this.buttons) button.remove();
    }
  }

  /** Lays the points where the plan says they are, unless one is held or the plan is yet to be told. @param {Xy[]} points */
  lay(points) {
    if (!this.held && !this.#unsettled) this.#points = points.map(([x, y]) => [x, y]);
    this.#put();
  }

  /** Sets a point where the painter tapped. @param {number} index @param {Xy} at */
  set(index, at) {
    this.#begin();
    this.#move(index, at);
    this.#finish();
  }

  /** Moves a point by steps; arrow keys and arrow buttons do. @param {number} index @param {Xy} steps */
  nudge(index, [right, down]) {
    // What moved before it is at rest.
    if (index !== this.#nudged) this.#finish();
    this.#nudged = index;
    const [x, y] = this.#points[index] ?? [0, 0];
    const step = this.wishes.step();
    this.#begin();
    this.#move(index, [x + right * step, y + down * step]);
    this.stage.reveal(this.#points[index] ?? [x, y]);
    this.#look(index);
    clearTimeout(this.#rest);
    this.#rest = setTimeout(() => this.#finish(), AT_REST);
  }

  /** Has a point be seen, if what is looked at does not show it. @param {number} index */
  reveal(index) {
    const point = this.#points[index];
    if (this.shown && point) this.stage.reveal(point);
  }

  /** Has what keys moved be for good now, before something else is taken in hand. */
  settle() {
    if (this.#rest !== undefined) this.#finish();
  }

  /** Gives up the hold and puts the points back. */
  cancel() {
    if (!this.#before) return;
    clearTimeout(this.#rest);
    this.#rest = undefined;
    this.#points = this.#before;
    this.#before = null;
    this.#lookAway();
    this.#put();
    this.wishes.cancel?.();
  }

  #begin() {
    this.#before ??= this.#points.map(([x, y]) => [x, y]);
  }

  /** @param {number} index @param {Xy} at */
  #move(index, at) {
    this.#points[index] = at;
    this.wishes.hold(index, this.#points);
    this.#put();
  }

  #finish() {
    clearTimeout(this.#rest);
    this.#rest = undefined;
    if (!this.#before) return;
    this.#before = null;
    const told = this.wishes.done(this.#points);
    if (!told) return;
    this.#unsettled += 1;
    void told.finally(() => {
      this.#unsettled -= 1;
      this.stage.draw();
    });
  }

  /** Shows a point under the loupe that no finger hides, for a while. @param {number} index */
  #look(index) {
    if (!this.wishes.loupe) return;
    this.stage.look(this.#points[index] ?? null);
    clearTimeout(this.#lingering);
    this.#lingering = setTimeout(() => this.#lookAway(), LINGERS);
  }

  #lookAway() {
    clearTimeout(this.#lingering);
    this.stage.look(null);
  }

  #put() {
    this.buttons.forEach((button, index) => {
      const point = this.#points[index];
      if (!point) return;
      const [left, top] = this.stage.toWall(point);
      button.style.setProperty('left', `${left}px`);
      button.style.setProperty('top', `${top}px`);
    });
  }

  /** @param {string} name @param {string} look @param {number} index */
  #make(name, look, index) {
    /** From the finger to the point, so that it does not jump under it. @type {Xy} */
    let grip = [0, 0];
    /** Where the finger came down, and the point in hand then. @type {Xy} */
    let pressed = [0, 0];
    let inHand = -1;
    let since = 0;
    let moved = false;
    /** Whether a finger has looked at the point under the loupe. @param {PointerEvent} event */
    const rested = ({ timeStamp }) => Boolean(this.wishes.loupe) && timeStamp - since >= RESTED;
    const button = h('button', {
      type: 'button', class: `handle ${look}`, 'aria-label': `${name}. Arrow keys move it.`,
      onfocus: () => {
        this.wishes.taken?.(index);
        if (!button.matches(':focus-visible')) return;
        this.stage.reveal(this.#points[index] ?? [0, 0]);
        this.#look(index);
      },
      onblur: () => this.#lookAway(),
      onpointerdown: (/** @type {PointerEvent} */ event) => {
        if (event.button !== 0) return;
        button.setPointerCapture(event.pointerId);
        // Arrow keys that are not at rest yet have moved it for good.
        this.#finish();
        [pressed, since, moved, inHand] = [[event.clientX, event.clientY], event.timeStamp, false, this.wishes.inHand?.() ?? -1];
        button.focus({ preventScroll: true });
        const at = this.stage.toFrame(event);
        const point = this.#points[index] ?? at;
        grip = [point[0] - at[0], point[1] - at[1]];
        this.#begin();
        clearTimeout(this.#lingering);
        if (this.wishes.loupe) this.stage.look(point);
      },
      onpointermove: (/** @type {PointerEvent} */ event) => {
        if (!this.held || !button.hasPointerCapture(event.pointerId)) return;
        const far = Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]);
        moved ||= far >= TAP || (far > 0 && rested(event));
        if (!moved) return;
        const [x, y] = this.stage.toFrame(event);
        /** @type {Xy} */
        const to = [x + grip[0], y + grip[1]];
        this.#move(index, this.wishes.snap?.(to) ?? to);
        if (this.wishes.loupe) this.stage.look(this.#points[index] ?? null);
      },
      onpointerup: (/** @type {PointerEvent} */ event) => {
        if (!button.hasPointerCapture(event.pointerId)) return;
        this.#lookAway();
        // It was given up.
        if (!this.held) return;
        if (moved || rested(event)) return this.#finish();
        this.cancel();
        if (inHand !== index) return;
        const tap = this.stage.toFrame(event);
        const at = this.wishes.snap?.(tap) ?? tap;
        if (this.wishes.tapped) this.wishes.tapped(index, at, event.pointerType);
        else this.set(index, at);
      },
      onpointercancel: () => this.cancel(),
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        if (event.key === 'Escape') this.cancel();
        const steps = arrow(event);
        if (!steps) return;
        if (this.wishes.keyed) this.wishes.keyed(index, steps);
        else this.nudge(index, steps);
      },
    });
    return button;
  }
}
