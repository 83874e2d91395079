// A field for how many parts a side is divided into.

import { field } from './controls.js';

/** What is typed comes as a whole number; what is none comes as 0, which the server refuses in a sentence. @param {string} label @param {(parts: number) => void} commit */
export const partsField = (label, commit) => field({
  label, kind: 'number', wants: 'a whole number from 1 to 64',
  commit: (text) => commit(Math.min(Math.max(Math.round(Number(text)) || 0, 0), 9999)),
});
