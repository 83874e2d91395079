// One painting as the page knows it: its latest state, the edits on their way to be saved, and what is tried meanwhile.
// Touches no element; whoever shows it listens for 'state' and 'saved'.

import * as server from './server.js';

/** @import { Edit, PaintingState, View } from './api.js' */
/**
 * Something to be done, one after another.
 * @typedef {object} Task
 * @property {(revision: number) => Promise<PaintingState>} run
 * @property {(state: PaintingState) => void} done
 * @property {(error: unknown) => void} refused
 * @property {number | null} sentFrom the revision that it was sent from when no answer came: it may have been done, and is sent from there again
 */

const CHANGED_ELSEWHERE = 'This painting was changed elsewhere. It is shown as it stands now; make your last change again if you still want it.';

/** Said where an edit that was sent again is refused because it, or something else, was done meanwhile. */
const MAYBE_DONE = 'The studio’s answer may have been lost on its way. The painting is shown as it stands now: look whether your last change is in it before you make it again.';

/** What the server answers where the painting's file cannot be written to, is gone or held by another program, or the disk is full. */
const OF_THE_FILE = [403, 404, 500, 503, 507];

/** Fires 'state' when what is to be shown has changed, 'saved' when the saved state has, 'working' with what the server is doing, 'chosen' when something beside the plan was chosen. */
export class Painting extends EventTarget {
  /** @type {Task[]} */
  #tasks = [];
  #running = false;
  /** A newer revision that was announced while edits were on their way. */
  #announced = 0;
  /** Counts the holds: an answer that belongs to an earlier one is dropped. */
  #hold = 0;
  #trying = false;
  /** @type {Edit | null} */
  #nextTry = null;

  /** @param {PaintingState} state */
  constructor(state) {
    super();
    this.state = state;
    /** The view of an edit that is being tried, while a finger moves. @type {View | null} */
    this.tried = null;
    this.saving = false;
    /** Why the last change is not saved. @type {string | null} */
    this.notSaved = null;
    /** Why the last change was given up, where the fault is with the painting's file and not with the change. @type {string | null} */
    this.notKept = null;
    /** Something to know about the last change, though all is saved. @type {string | null} */
    this.notice = null;
    this.#listen();
  }

  /** What is to be read: the tried view while a finger moves, or else the saved one. */
  get view() {
    return this.tried ?? this.state.view;
  }

  /** Whether edits wait for the one before them to be saved: they are lost when the page is left. */
  get waiting() {
    return this.#tasks.length > 1 || this.notSaved !== null;
  }

  /**
   * Makes an edit and saves it. Edits are sent one after another, each on the state that the one before it gave; one that keeps
   * part of what stands is given as a function, which is asked when its turn has come.
   * @param {Edit | (() => Edit)} edit
   * @param {string | null} [gesture] edits of one gesture are undone in one step
   */
  edit(edit, gesture = null) {
    // What would have been tried next is made now.
    this.#nextTry = null;
    return this.#do((revision) => server.makeEdit(this.state.id, revision, typeof edit === 'function' ? edit() : edit, gesture));
  }

  /** @param {string} title */
  rename(title) {
    return this.#do((revision) => server.rename(this.state.id, revision, title));
  }

  /** @param {File} file */
  bringIn(file) {
    const before = this.state.view;
    return this.#do((revision) => server.bringIn(this.state.id, revision, file)).then((state) => {
      this.notice = whatBecame(before, state.view);
      this.dispatchEvent(new Event('saved'));
      return state;
    });
  }

  undo() {
    return this.#do((revision) => server.undo(this.state.id, revision));
  }

  redo() {
    return this.#do((revision) => server.redo(this.state.id, revision));
  }

  /**
   * Shows what an edit would give, without making it. One request is on its way at a time; those in between are dropped.
   * @param {Edit} edit
   * @param {number} [every] how long to wait from one request to the next, in ms, where the page itself shows what moves meanwhile
   */
  async try(edit, every = 0) {
    this.#nextTry = edit;
    if (this.#trying) return;
    this.#trying = true;
    const hold = this.#hold;
    while (this.#nextTry && hold === this.#hold) {
      const next = this.#nextTry;
      this.#nextTry = null;
      const rest = every ? new Promise((rested) => setTimeout(rested, every)) : null;
      try {
        const { view } = await server.tryEdit(this.state.id, next);
        if (hold === this.#hold) this.#show(view);
      } catch (error) {
        // What cannot be tried cannot be made either: the edit itself will say why.
        if (!(error instanceof server.Refusal)) throw error;
      }
      await rest;
    }
    if (hold === this.#hold) this.#trying = false;
  }

  /** Ends trying: the saved view is shown again. */
  endTry() {
    this.#hold += 1;
    this.#nextTry = null;
    this.#trying = false;
    if (this.tried) this.#show(null);
  }

  /** Sends again what could not be saved because the server did not answer. */
  retry() {
    if (this.notSaved && this.#tasks.length) void this.#work();
  }

  /** Has everything show what the painting holds, where something else was chosen and cannot be. */
  showAgain() {
    this.dispatchEvent(new Event('state'));
  }

  /** @param {View | null} view */
  #show(view) {
    this.tried = view;
    this.dispatchEvent(new Event('state'));
  }

  /**
   * @param {(revision: number) => Promise<PaintingState>} run
   * @returns {Promise<PaintingState>}
   */
  #do(run) {
    this.notice = null;
    /** @type {Promise<PaintingState>} */
    const promise = new Promise((done, refused) => this.#tasks.push({ run, done, refused, sentFrom: null }));
    void this.#work();
    return promise;
  }

  async #work() {
    if (this.#running) return;
    this.#running = true;
    this.notKept = null;
    this.#say(true, null);
    for (let task = this.#tasks[0]; task; task = this.#tasks[0]) {
      try {
        const state = await task.run(task.sentFrom ?? this.state.revision);
        this.#tasks.shift();
        this.#take(state);
        task.done(state);
      } catch (error) {
        const refusal = error instanceof server.Refusal ? error : null;
        if (refusal?.status === 0) {
          task.sentFrom ??= this.state.revision;
          this.#running = false;
          this.#say(false, refusal.message);
          return;
        }
        this.#tasks.shift();
        this.endTry();
        this.notKept = refusal && OF_THE_FILE.includes(refusal.status) ? refusal.message : null;
        if (refusal?.state) {
          this.#take(refusal.state);
          this.notice = task.sentFrom !== null ? MAYBE_DONE : CHANGED_ELSEWHERE;
        }
        task.refused(error);
      }
    }
    this.#running = false;
    this.#say(false, null);
    if (this.#announced > this.state.revision) await this.#fetch();
  }

  /** @param {PaintingState} state */
  #take(state) {
    this.state = state;
    this.tried = null;
    this.#hold += 1;
    this.#nextTry = null;
    this.#trying = false;
    this.dispatchEvent(new Event('state'));
  }

  /** @param {boolean} saving @param {string | null} notSaved */
  #say(saving, notSaved) {
    this.saving = saving;
    this.notSaved = notSaved;
    this.dispatchEvent(new Event('saved'));
  }

  /** Takes over what is no edit of the plan, such as a check that was kept. */
  async lookAgain() {
    try {
      const state = await server.painting(this.state.id);
      if (!this.#running && state.revision === this.state.revision) this.#take(state);
    } catch (error) {
      // If the studio does not answer, the next edit will say so.
      if (!(error instanceof server.Refusal)) throw error;
    }
  }

  /** Takes over what another window or program has changed. */
  async #fetch() {
    try {
      const state = await server.painting(this.state.id);
      if (!this.#running && state.revision !== this.state.revision) this.#take(state);
    } catch (error) {
      // If the studio does not answer, the next edit will say so.
      if (!(error instanceof server.Refusal)) throw error;
    }
  }

  /** Hears of changes while the page is seen: a browser keeps few connections to one address, and hidden tabs need none. */
  #listen() {
    /** @type {EventSource | null} */
    let events = null;
    const listen = () => {
      events?.close();
      events = null;
      if (document.hidden) return;
      events = server.events(this.state.id);
      events.addEventListener('changed', (event) => {
        this.#announced = JSON.parse(/** @type {MessageEvent<string>} */ (event).data).revision;
        if (!this.#running && this.#announced > this.state.revision) void this.#fetch();
      });
      events.addEventListener('working', (event) => {
        this.dispatchEvent(new CustomEvent('working', { detail: JSON.parse(/** @type {MessageEvent<string>} */ (event).data).saying }));
      });
      events.addEventListener('chosen', () => {
        this.dispatchEvent(new Event('chosen'));
        // Sheets are laid out by the printer that is chosen, and the notebook tells of the last check.
        void this.lookAgain();
      });
      events.addEventListener('open', () => this.retry());
    };
    listen();
    document.addEventListener('visibilitychange', listen);
  }
}

/** What became of what was marked on the photo when another came in its place; null where nothing was. @param {View} before @param {View} now */
function whatBecame(before, now) {
  const marked = (/** @type {View} */ { reference, likeness }) => Boolean(reference?.head) || likeness.landmarks.length + likeness.measures.length > 0;
  if (!before.reference || !marked(before)) return null;
  return marked(now)
    ? 'This is the same picture, so all that was marked on it stays.'
    : `Crown and chin, landmarks and measures were those of the other photo and went with it${before.reference.head ? `; its head was ${before.reference.head.height} high` : ''}. Undo brings it back with all of them.`;
}
