// What the painter chose for this painting that is no part of its plan: ticks, the printer, the kinds of sheet, notes. The server keeps it in the painting's file, so
// that every browser and the tablet beside the canvas know of it. What is chosen shows at once, and is sent one change after another.

import * as server from './server.js';

/** @import { ChosenChange, Chosen } from './api.js' */
/** @import { Painting } from './painting.js' */

export class Choices extends EventTarget {
  /** @type {Promise<unknown>} */
  #last = Promise.resolve();
  #waiting = 0;

  /** @param {Painting} painting @param {Chosen} kept */
  constructor(painting, kept) {
    super();
    this.painting = painting.state.id;
    this.kept = kept;
    painting.addEventListener('chosen', () => void this.#follow());
    // Nothing is heard while the page is not seen.
    document.addEventListener('visibilitychange', () => document.hidden || void this.#follow());
  }

  /** Keeps what is chosen anew. @param {Partial<ChosenChange>} change @returns {Promise<unknown>} refused when it cannot be kept */
  change(change) {
    const { tick, untick, printer, kinds, notes } = change;
    const ticked = this.kept.ticked.filter((mark) => !untick?.includes(mark) && !tick?.includes(mark)).concat(tick ?? []);
    this.kept = { ...this.kept, ticked, printer: printer ?? this.kept.printer, kinds: kinds ?? this.kept.kinds, notes: notes ?? this.kept.notes };
    this.#waiting += 1;
    const sent = this.#last.then(() => server.choose(this.painting, change)).finally(() => { this.#waiting -= 1; });
    this.#last = sent.then((kept) => this.#take(kept), () => undefined);
    return sent;
  }

  /** Asks what was chosen elsewhere meanwhile. What cannot be asked now is asked later. */
  async #follow() {
    if (!this.#waiting) this.#take(await server.choices(this.painting).catch(() => this.kept));
  }

  /** @param {Chosen} kept */
  #take(kept) {
    if (this.#waiting || JSON.stringify(kept) === JSON.stringify(this.kept)) return;
    this.kept = kept;
    this.dispatchEvent(new Event('change'));
  }
}
