// The tones in which the reference can be looked at, and how the server is asked for each.

/** @typedef {'photo' | 'grey' | 'values' | 'squint'} ToneKind */
/** Which tone, and how each is made. Lengths are on the canvas, as typed. @typedef {{ kind: ToneKind, steps: number, smoothing: string, breadth: string }} Tones */

/** What each is called. @type {Record<ToneKind, string>} */
export const TONE_WORDS = { photo: 'Photo', grey: 'Grey', values: 'Value map', squint: 'Squint' };

/** @type {Tones} */
export const USUAL_TONES = { kind: 'photo', steps: 5, smoothing: '2 mm', breadth: '4 mm' };

/** The tone as the server reads it. @param {Tones} tones @returns {string} */
export function toneText({ kind, steps, smoothing, breadth }) {
  if (kind === 'values') return `values:${steps}:${smoothing}`;
  return kind === 'squint' ? `squint:${breadth}` : kind;
}
