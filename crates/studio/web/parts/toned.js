// The reference in other tones. The server makes each picture, which takes a moment; it is fetched once, decoded, and kept
// while photo and scale stay as they are, so that changing over between photo and tone is quick. Whoever wants another
// tone meanwhile stops the one that is being made.

import * as server from '../server.js';

/** @import { PhotoFacts } from '../api.js' */

/** The most pictures kept; each is some megabytes once it is decoded. */
const MOST = 6;

/** Fires 'change' when a picture has come, or what is said has changed. */
export class Toned extends EventTarget {
  /** The stem of the addresses that the kept pictures came from. */
  #stem = '';
  /** Object addresses by tone, the one that was asked for last at the end. @type {Map<string, string>} */
  #kept = new Map();
  /** What is being made. @type {{ tone: string, stop: AbortController } | null} */
  #making = null;
  /** Why a tone cannot be shown. @type {{ tone: string, message: string } | null} */
  #trouble = null;

  /** The tone that is being made; null while nothing is. */
  get making() {
    return this.#making?.tone ?? null;
  }

  /** Why a tone cannot be shown; blank if it can. @param {string} tone */
  trouble(tone) {
    return this.#trouble?.tone === tone ? this.#trouble.message : '';
  }

  /**
   * Where the picture in this tone is to be had; null while it is still being made, which begins with asking for it.
   * @param {PhotoFacts | null} photo
   * @param {string} tone
   * @returns {string | null}
   */
  picture(photo, tone) {
    if (photo?.toned !== this.#stem) this.#forget(photo?.toned ?? '');
    const known = this.#kept.get(tone);
    if (known) {
      this.#kept.delete(tone);
      this.#kept.set(tone, known);
      return known;
    }
    if (photo && this.#making?.tone !== tone && !this.trouble(tone)) void this.#make(tone);
    return null;
  }

  /** Stops what is being made; it is made again when it is asked for again. */
  stop() {
    const tone = this.#making?.tone;
    this.#making?.stop.abort();
    this.#making = null;
    if (tone) this.#say({ tone, message: 'Stopped.' });
  }

  /** Lets what could not be made be tried again. */
  again() {
    this.#say(null);
  }

  /** @param {string} tone */
  async #make(tone) {
    this.#making?.stop.abort();
    const made = { tone, stop: new AbortController() };
    this.#making = made;
    const stem = this.#stem;
    try {
      const blob = await server.toned(`${stem}&tone=${encodeURIComponent(tone)}`, made.stop.signal);
      const address = URL.createObjectURL(blob);
      const picture = new Image();
      picture.src = address;
      await picture.decode();
      if (this.#making !== made) return URL.revokeObjectURL(address);
      this.#making = null;
      this.#keep(tone, address);
      this.#say(null);
    } catch (error) {
      if (this.#making !== made) return;
      this.#making = null;
      if (!(error instanceof server.Refusal)) throw error;
      this.#say({ tone, message: error.message });
    }
  }

  /** @param {string} tone @param {string} address */
  #keep(tone, address) {
    this.#kept.set(tone, address);
    for (const [oldest, old] of this.#kept) {
      if (this.#kept.size <= MOST) break;
      this.#kept.delete(oldest);
      URL.revokeObjectURL(old);
    }
  }

  /** @param {string} stem */
  #forget(stem) {
    for (const address of this.#kept.values()) URL.revokeObjectURL(address);
    this.#kept.clear();
    this.#making?.stop.abort();
    this.#making = null;
    this.#trouble = null;
    this.#stem = stem;
  }

  /** @param {{ tone: string, message: string } | null} trouble */
  #say(trouble) {
    this.#trouble = trouble;
    this.dispatchEvent(new Event('change'));
  }
}
