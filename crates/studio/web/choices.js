// What the painter chose for this painting that is no part of its plan: ticks, the printer, the kinds of sheet. The server keeps it in the
// painting's file, so that every browser and the tablet beside the canvas know of it. What is chosen shows at once, and is sent one
// change after another.

import * as server from './server.js';
import { lower } from './parts/sentences.js';
import { unsent } from './parts/unsent.js';

/** @import { ChosenChange, Chosen } from './api.js' */
/** @import { Painting } from './painting.js' */

/** What the studio did not answer is sent again after this long, in ms. */
const AGAIN = 3000;

export class Choices extends EventTarget {
  /** What is on its way, the first first. @type {{ change: Partial<ChosenChange>, done: (kept: Chosen) => void, refused: (why: unknown) => void }[]} */
  #waiting = [];
  #sending = false;

  /** @param {Painting} painting @param {Chosen} kept */
  constructor(painting, kept) {
    super();
    this.painting = painting.state.id;
    this.kept = kept;
    painting.addEventListener('chosen', () => void this.#follow());
    // Nothing is heard while the page is not seen.
    document.addEventListener('visibilitychange', () => document.hidden || void this.#follow());
  }

  /**
   * Keeps what is chosen anew. What the studio does not answer is sent again until it does; the notebook's head says so meanwhile.
   * @param {Partial<ChosenChange>} change @returns {Promise<Chosen>} refused when it cannot be kept
   */
  change(change) {
    const { tick, untick, printer, kinds } = change;
    const ticked = this.kept.ticked.filter((mark) => !untick?.includes(mark) && !tick?.includes(mark)).concat(tick ?? []);
    this.kept = { ...this.kept, ticked, printer: printer ?? this.kept.printer, kinds: kinds ?? this.kept.kinds };
    return new Promise((done, refused) => {
      this.#waiting.push({ change, done, refused });
      unsent.set(this, 'Saving');
      void this.#send();
    });
  }

  async #send() {
    if (this.#sending) return;
    this.#sending = true;
    for (let first = this.#waiting[0]; first; first = this.#waiting[0]) {
      try {
        const kept = await server.choose(this.painting, first.change);
        this.#waiting.shift();
        first.done(kept);
        this.#take(kept);
      } catch (error) {
        if (error instanceof server.Refusal && error.status === 0) {
          unsent.set(this, `Not saved: ${lower(error.message)}`);
          await new Promise((later) => setTimeout(later, AGAIN));
          continue;
        }
        this.#waiting.shift();
        first.refused(error);
        this.#take(await server.choices(this.painting).catch(() => this.kept));
      }
    }
    unsent.set(this, '');
    this.#sending = false;
  }

  /** Asks what was chosen elsewhere meanwhile. What cannot be asked now is asked later. */
  async #follow() {
    if (!this.#waiting.length) this.#take(await server.choices(this.painting).catch(() => this.kept));
  }

  /** @param {Chosen} kept */
  #take(kept) {
    if (this.#waiting.length || JSON.stringify(kept) === JSON.stringify(this.kept)) return;
    this.kept = kept;
    this.dispatchEvent(new Event('change'));
  }
}
