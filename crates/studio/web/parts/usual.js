// What a new painting begins with: the unit that the painter chose last in this browser, or else unit and paper that are
// usual where she lives, as far as her browser's language tells it.

import { keep, recall } from '../sight.js';

/** @import { Paper, Unit } from '../api.js' */

/** Where lengths are told in inches: the United States with their territories, and Liberia (Unicode CLDR, measurementData). */
const IN_INCHES = ['US', 'AS', 'GU', 'MP', 'PR', 'UM', 'VI', 'LR'];
/** Where canvases are sold in inches, though lengths are metric (common practice, no source). */
const CANVASES_IN_INCHES = ['CA'];
/** Where paper is Letter (Unicode CLDR, measurementData, paperSize), with the territories of the United States. */
const LETTER = ['US', 'AS', 'GU', 'MP', 'PR', 'UM', 'VI', 'BZ', 'CA', 'CL', 'CO', 'CR', 'GT', 'MX', 'NI', 'PA', 'PH', 'SV', 'VE'];

/** @returns {{ unit: Unit, paper: Paper | null }} no paper where that of the unit is meant */
export function usualHere() {
  const region = regionOf(navigator.languages);
  /** @type {Unit} */
  const local = [...IN_INCHES, ...CANVASES_IN_INCHES].includes(region) ? 'inch' : 'centimetre';
  const unit = recall('unit', local);
  const isLocal = (unit === 'inch') === (local === 'inch');
  return { unit, paper: isLocal ? (LETTER.includes(region) ? 'letter' : 'a4') : null };
}

/** Keeps the unit that the painter chose, for her next painting. @param {Unit} unit */
export const keepUnit = (unit) => keep('unit', unit);

/**
 * The region of the first language that names one; of a bare language, where it is spoken most.
 * @param {readonly string[]} languages
 */
function regionOf(languages) {
  const locales = languages.flatMap((tag) => {
    try {
      return [new Intl.Locale(tag)];
    } catch {
      return [];
    }
  });
  return locales.find(({ region }) => region)?.region ?? locales[0]?.maximize().region ?? '';
}
