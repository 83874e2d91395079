// How things are looked at on this screen, and nothing of the painting: whether the grid and which guide lines are shown,
// what is ticked off. Kept in this browser; a private window merely forgets it.

/** @import { Guide } from './api.js' */
/** @typedef {{ grid: boolean, guides: Guide[] }} Looks */

/** @type {Looks} */
const USUAL = { grid: true, guides: [] };

/** Fires 'change' when it is to be drawn afresh. */
export class Sight extends EventTarget {
  constructor() {
    super();
    /** @type {Looks} */
    this.looks = { ...USUAL, ...recall('looks', USUAL) };
    /** Whether the photo is shown beyond the canvas's edges, while it is being placed. */
    this.beyond = false;
    /** Which of the painting's things are shown for the open step. */
    this.marks = false;
    this.seams = false;
    /** Whether the sheets between the seams are named. */
    this.sheetNames = true;
    this.details = true;
    this.grid = true;
    /** Whether guide lines are shown, while the photo is being placed: elsewhere they cannot be switched off. */
    this.guides = false;
    /** The tone in which the photo is shown, as the server reads it. */
    this.tone = 'photo';
  }

  /** @param {Partial<Looks>} change */
  look(change) {
    Object.assign(this.looks, change);
    keep('looks', this.looks);
    this.changed();
  }

  /** What the open step wants to see. @param {{ beyond?: boolean, marks?: boolean, seams?: boolean, sheetNames?: boolean, details?: boolean, grid?: boolean, guides?: boolean }} wants */
  want({ beyond = false, marks = false, seams = false, sheetNames = true, details = true, grid = true, guides = false }) {
    Object.assign(this, { beyond, marks, seams, sheetNames, details, grid, guides });
    this.changed();
  }

  /** Shows the photo in a tone, until another is asked for. @param {string} tone */
  showIn(tone) {
    if (this.tone === tone) return;
    this.tone = tone;
    this.changed();
  }

  changed() {
    this.dispatchEvent(new Event('change'));
  }
}

/**
 * Something kept in this browser.
 * @template T
 * @param {string} name
 * @param {T} otherwise
 * @returns {T}
 */
export function recall(name, otherwise) {
  try {
    const text = localStorage.getItem(`mahlstick ${name}`);
    return text === null ? otherwise : JSON.parse(text);
  } catch {
    return otherwise;
  }
}

/** Keeps something in this browser. @param {string} name @param {unknown} value */
export function keep(name, value) {
  try {
    localStorage.setItem(`mahlstick ${name}`, JSON.stringify(value));
  } catch {
    // Nothing of the painting is lost with it.
  }
}
