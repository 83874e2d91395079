// The choice of a tone: which, and for a value map its steps and smallest mass, for a squint its blur.

import { choice, field, row } from './controls.js';
import { FEWEST, MOST } from './value-strip.js';
import { freshId, h } from './dom.js';
import { inUnit, readLengths, TONE_WORDS } from './tones.js';
import { Refusal } from '../server.js';

/** @import { Unit } from '../api.js' */
/** @import { ToneKind, Tones } from './tones.js' */

/** @param {{ legend: string, painting: string, change: (to: Partial<Tones>) => void }} options `painting` is in whose unit lengths are told */
export function toneChoice({ legend, painting, change }) {
  const kind = choice({ legend, options: /** @type {[ToneKind, string][]} */ (Object.entries(TONE_WORDS)), pick: (value) => change({ kind: value }) });
  const id = freshId('steps');
  const steps = h('input', { id, type: 'range', min: FEWEST, max: MOST, step: 1, oninput: () => change({ steps: Number(steps.value) }) });
  const word = h('label', { for: id });
  const ofSteps = h('div', { class: 'field wide' }, word, steps);
  const smoothing = field({ label: 'Smallest mass', commit: async (text) => change(await readLengths(painting, { smoothing: text })) });
  const breadth = field({ label: 'Blur', commit: async (text) => change(await readLengths(painting, { breadth: text })) });
  /** For which unit the lengths are being told anew. @type {Unit | null} */
  let asking = null;

  /** Tells kept lengths anew where they are not in the painting's unit. @param {Tones} tones @param {Unit} unit */
  async function follow(tones, unit) {
    if (asking === unit) return;
    asking = unit;
    try {
      const lengths = await inUnit(painting, tones, unit);
      if (lengths && asking === unit) change(lengths);
    } catch (error) {
      // If the studio does not answer, whatever is asked of it next will say so.
      if (!(error instanceof Refusal)) throw error;
    } finally {
      asking = null;
    }
  }

  return {
    follow,
    element: h('div', { class: 'stack' }, kind.element, ofSteps, row(smoothing.element, breadth.element)),
    /** @param {Tones} tones */
    set(tones) {
      kind.set(tones.kind);
      steps.value = String(tones.steps);
      word.textContent = `${tones.steps} steps`;
      smoothing.set(tones.smoothing);
      breadth.set(tones.breadth);
      ofSteps.hidden = smoothing.element.hidden = tones.kind !== 'values';
      breadth.element.hidden = tones.kind !== 'squint';
    },
  };
}
