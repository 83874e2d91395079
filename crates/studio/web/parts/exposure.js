// Says where the photo is too dark or burnt out: of the head once crown and chin are marked, of the whole photo before.

import * as server from '../server.js';
import { h } from './dom.js';
import { setSentence } from './measure.js';

/** @import { View } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** Pixels of the picture within which crown and chin lie as they did: what is told is of a whole head. */
const AS_BEFORE = 4;

/** What was asked last, and its answer: more than one line of the notebook shows it. @type {{ what: string, says: Promise<string | null> }} */
let last = { what: '', says: Promise.resolve(null) };

/** @param {string} id @param {string} what everything that the answer depends on */
function ask(id, what) {
  if (last.what !== what) last = { what, says: server.exposure(id) };
  return last.says;
}

/** @param {Desk} desk */
export function exposure({ painting }) {
  const element = h('p', { class: 'remark' });
  /** What was told, and of what. */
  let told = '';

  return {
    element,
    /** @param {View} view */
    update(view) {
      // What is tried is not what the server tells of.
      if (painting.tried) return;
      const { photo, id } = painting.state;
      const reference = view.reference;
      if (!photo || !reference) {
        told = '';
        return setSentence(element, '');
      }
      const { head, matrix: [a, b, c, d, e, f], square_up } = reference;
      const inPicture = head && [head.crown, head.chin].map(([x, y]) => [
        (d * (x - e) - c * (y - f)) / (a * d - b * c),
        (a * (y - f) - b * (x - e)) / (a * d - b * c),
      ].map((pixels) => Math.round(pixels / AS_BEFORE)));
      const asked = JSON.stringify([photo.id, square_up, inPicture]);
      if (asked === told) return;
      told = asked;
      ask(id, asked).then(
        (says) => { if (told === asked) setSentence(element, says ?? ''); },
        (error) => {
          if (!(error instanceof server.Refusal)) throw error;
          // A photo that cannot be read is told by what shows it; here it is asked again with the next change.
          if (told === asked) told = '';
          if (last.what === asked) last = { what: '', says: Promise.resolve(null) };
        },
      );
    },
  };
}
