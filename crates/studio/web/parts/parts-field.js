// A field for how many parts a side is divided into.

import { field } from './controls.js';

/** What is too large for the server to read comes as something that it refuses in a sentence. @param {string} label @param {(parts: number) => void} commit */
export const partsField = (label, commit) => field({
  label, kind: 'whole', wants: 'a whole number from 1 to 64',
  commit: (text) => commit(Math.min(Math.max(Number(text), 0), 9999)),
});
