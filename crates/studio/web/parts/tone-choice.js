// The choice of a tone: which, and for a value map its steps and smallest mass, for a squint its blur.

import { choice, field, row } from './controls.js';
import { FEWEST, MOST } from './value-strip.js';
import { freshId, h } from './dom.js';
import { TONE_WORDS } from './tones.js';

/** @import { ToneKind, Tones } from './tones.js' */

/** @param {{ legend: string, change: (to: Partial<Tones>) => void }} options */
export function toneChoice({ legend, change }) {
  const kind = choice({ legend, options: /** @type {[ToneKind, string][]} */ (Object.entries(TONE_WORDS)), pick: (value) => change({ kind: value }) });
  const id = freshId('steps');
  const steps = h('input', { id, type: 'range', min: FEWEST, max: MOST, step: 1, oninput: () => change({ steps: Number(steps.value) }) });
  const word = h('label', { for: id });
  const ofSteps = h('div', { class: 'field wide' }, word, steps);
  const smoothing = field({ label: 'Smallest mass', commit: (text) => change({ smoothing: text }) });
  const breadth = field({ label: 'Blur', commit: (text) => change({ breadth: text }) });
  return {
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
