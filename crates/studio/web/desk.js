// What every step has at hand: the painting, the stage, the sight, and the view as it is shown at this moment, which
// while a finger moves runs ahead of what the server has answered.

/** @import { Edit, View } from './api.js' */
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
 */

export class Desk {
  /** @type {((view: View) => View) | null} */
  #ahead = null;

  /** @param {Painting} painting @param {Stage} stage @param {Sight} sight @param {() => void} refresh */
  constructor(painting, stage, sight, refresh) {
    this.painting = painting;
    this.stage = stage;
    this.sight = sight;
    this.refresh = refresh;
  }

  /** The view as it is shown. */
  get view() {
    return this.#ahead ? this.#ahead(this.painting.view) : this.painting.view;
  }

  /** Shows the view with something moved ahead of the server; null shows it as it is. @param {((view: View) => View) | null} ahead */
  runAhead(ahead) {
    this.#ahead = ahead;
    this.refresh();
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
