// The tones in which the reference can be looked at, and how the server is asked for each.

import * as server from '../server.js';
import { parted } from './measure.js';

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

/**
 * The lengths of tones as the server reads them for this painting: in its unit, or a refusal.
 * @param {string} painting @param {{ smoothing?: string, breadth?: string }} typed
 */
export async function readLengths(painting, { smoothing, breadth }) {
  /** @type {{ smoothing?: string, breadth?: string }} */
  const read = {};
  const usual = usualTones('inch');
  if (smoothing !== undefined) read.smoothing = await server.toneLength(painting, toneText({ ...usual, kind: 'values', smoothing }));
  if (breadth !== undefined) read.breadth = await server.toneLength(painting, toneText({ ...usual, kind: 'squint', breadth }));
  return read;
}

/**
 * The lengths of these tones in the painting's unit, where they were kept in the other one; null where they are in it already.
 * What was kept and is no length gives way to what is usual.
 * @param {string} painting @param {Tones} tones @param {Unit} unit
 */
export async function inUnit(painting, { smoothing, breadth }, unit) {
  if ([smoothing, breadth].every((length) => isOf(length, unit))) return null;
  try {
    return await readLengths(painting, { smoothing, breadth });
  } catch (error) {
    if (!(error instanceof server.Refusal) || error.status === 0) throw error;
    const usual = usualTones(unit);
    return { smoothing: usual.smoothing, breadth: usual.breadth };
  }
}

/** Whether a length is stated in the family of a unit. @param {string} length @param {Unit} unit */
const isOf = (length, unit) => (unit === 'inch' ? ['in'] : ['cm', 'mm']).includes(parted(length)[1]);

/** @param {string} length */
const pointed = (length) => length.replace(/(\d),(?=\d)/, '$1.');
