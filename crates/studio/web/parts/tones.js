// The tones in which the reference can be looked at, and how the server is asked for each.

/** @import { Unit } from '../api.js' */
/** @typedef {'photo' | 'grey' | 'values' | 'squint'} ToneKind */
/** Which tone, and how each is made. Lengths are on the canvas, as typed. @typedef {{ kind: ToneKind, steps: number, smoothing: string, breadth: string }} Tones */

/** What each is called. @type {Record<ToneKind, string>} */
export const TONE_WORDS = { photo: 'Photo', grey: 'Grey', values: 'Value map', squint: 'Squint' };

/** How each tone is made until the painter says otherwise, in her unit. @param {Unit} unit @returns {Tones} */
export function usualTones(unit) {
  const [smoothing, breadth] = unit === 'inch' ? ['5/64 in', '5/32 in'] : ['2 mm', '4 mm'];
  return { kind: 'photo', steps: 5, smoothing, breadth };
}

/** The tone as the server reads it, which parts ways of showing at commas: a decimal comma goes as a point. @param {Tones} tones @returns {string} */
export function toneText({ kind, steps, smoothing, breadth }) {
  if (kind === 'values') return `values:${steps}:${pointed(smoothing)}`;
  return kind === 'squint' ? `squint:${pointed(breadth)}` : kind;
}

/** @param {string} length */
const pointed = (length) => length.replace(/(\d),(?=\d)/, '$1.');
