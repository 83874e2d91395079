// What the painter chose for this painting that is no part of its plan: ticks, the printer, the kinds of sheet. The server keeps it, so
// that every browser and the tablet beside the canvas know of it. What is chosen shows at once, and is sent one change after another.

import * as server from './server.js';

/** @import { ChosenChange, Chosen } from './api.js' */

export class Choices extends EventTarget {
  /** @type {Promise<unknown>} */
  #last = Promise.resolve();
  #waiting = 0;

  /** @param {string} painting @param {Chosen} kept */
  constructor(painting, kept) {
    super();
    this.painting = painting;
    this.kept = kept;
  }

  /** Keeps what is chosen anew. @param {Partial<ChosenChange>} change @returns {Promise<unknown>} refused when it cannot be kept */
  change(change) {
    Object.assign(this.kept, change);
    this.#waiting += 1;
    const sent = this.#last.then(() => server.choose(this.painting, change)).finally(() => { this.#waiting -= 1; });
    this.#last = sent.catch(() => undefined);
    return sent;
  }

  /** Asks what was chosen elsewhere meanwhile. */
  async follow() {
    if (this.#waiting) return;
    const kept = await server.choices(this.painting);
    if (this.#waiting || JSON.stringify(kept) === JSON.stringify(this.kept)) return;
    this.kept = kept;
    this.dispatchEvent(new Event('change'));
  }
}
