// What every step has at hand: the painting, the stage, the sight, and the view as it is shown at this moment, which
// while a finger moves runs ahead of what the server has answered.

/** @import { Edit, View } from './api.js' */
/** @import { Choices } from './choices.js' */
/** @import { Painting } from './painting.js' */
/** @import { Sight } from './sight.js' */
/** @import { Stage } from './stage.js' */

/**
 * One line of the notebook, opened.
 * @typedef {object} Step
 * @property {HTMLElement} panel
 * @property {(view: View) => void} update
 * @property {() => void} open takes the stage
 * @property {() => void} close gives it back
 * @property {() => string} [sentence] how things stand, of a line that the plan knows nothing of
 * @property {() => string} [more] what stands behind the sentence that the plan gives
 */

export class Desk {
  /** @type {((view: View) => View) | null} */
  #ahead = null;

  /** The frame in which all is shown anew. @type {number | null} */
  #due = null;
  #showAll;

  /** @param {Painting} painting @param {Choices} choices @param {Stage} stage @param {Sight} sight @param {() => void} showAll */
  constructor(painting, choices, stage, sight, showAll) {
    this.painting = painting;
    this.choices = choices;
    this.stage = stage;
    this.sight = sight;
    this.#showAll = showAll;
    // While something moves under the finger, an answer can wait for the frame in which the finger's next place is shown.
    painting.addEventListener('state', () => (this.#ahead ? this.#refreshSoon() : this.refresh()));
  }

  /** Shows everything anew, at once. */
  refresh() {
    if (this.#due !== null) cancelAnimationFrame(this.#due);
    this.#due = null;
    this.#showAll();
  }

  /** Shows everything anew in the next frame, once, however often it is asked until then. */
  #refreshSoon() {
    this.#due ??= requestAnimationFrame(() => this.refresh());
  }

  /** The view as it is shown. */
  get view() {
    return this.#ahead ? this.#ahead(this.painting.view) : this.painting.view;
  }

  /** Shows the view with something moved ahead of the server, in the next frame; null shows it as it is. @param {((view: View) => View) | null} ahead */
  runAhead(ahead) {
    this.#ahead = ahead;
    if (ahead) this.#refreshSoon();
    else this.refresh();
  }

  /**
   * Makes an edit while the view runs ahead, and falls back in step when it is answered.
   * @param {Edit} edit @param {string | null} [gesture]
   */
  async editAhead(edit, gesture = null) {
    const ahead = this.#ahead;
    try {
      return await this.painting.edit(edit, gesture);
    } finally {
      if (this.#ahead === ahead) this.runAhead(null);
    }
  }
}
