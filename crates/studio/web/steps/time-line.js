// Part of the check: the checks made so far, and how the painting's drift went from one to the next.

import { dateOf } from '../parts/dates.js';
import { h, s } from '../parts/dom.js';
import { sentenceParts } from '../parts/measure.js';

/** @import { CheckLine } from '../api.js' */

/** The chart's width, height, and what is left around it, in its own unit. */
const [WIDTH, HEIGHT, AROUND] = [320, 84, 14];

/** @param {(number: number) => void} open */
export function timeLine(open) {
  const chart = h('div', { class: 'time-line' });
  const list = h('ul', { class: 'kept' });
  const element = h('div', { class: 'stack ruled', hidden: true }, h('h3', {}, 'Checks so far'), chart, list);
  return {
    element,
    /** @param {CheckLine[]} checks */
    show(checks) {
      element.hidden = !checks.length;
      const drifted = checks.filter(({ off_mm: off }) => off !== null);
      chart.replaceChildren(...(drifted.length > 1 ? [drawn(drifted), h('p', { class: 'hint' }, 'How far a landmark typically lies from its place.')] : []));
      list.replaceChildren(...[...checks].reverse().map((check) => h('li', {},
        h('button', { type: 'button', class: 'quiet', onclick: () => open(check.number), 'aria-label': `Open the check of ${dateOf(check.made)}: ${check.sentence}` }, dateOf(check.made)),
        h('p', {}, ...sentenceParts(check.sentence)),
        check.off ? h('p', { class: 'hint' }, 'A landmark is typically off by ', ...sentenceParts(check.off)) : null)));
    },
  };
}

/** @param {CheckLine[]} checks */
function drawn(checks) {
  const most = Math.max(...checks.map(({ off_mm: off }) => off ?? 0), 1);
  const points = checks.map(({ off_mm: off, off: told }, index) => ({
    x: AROUND + (index * (WIDTH - 2 * AROUND)) / Math.max(checks.length - 1, 1),
    y: HEIGHT - AROUND - ((off ?? 0) / most) * (HEIGHT - 3 * AROUND),
    told: told ?? '',
  }));
  const [first, last] = [points[0], points[points.length - 1]];
  const label = (/** @type {typeof first} */ point, /** @type {string} */ anchor) =>
    point && s('text', { x: point.x, y: point.y - 7, 'text-anchor': anchor }, point.told);
  return s('svg', { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': `Landmarks off by ${points.map(({ told }) => told).join(', then ')}` },
    s('path', { d: `M${AROUND} ${HEIGHT - AROUND}H${WIDTH - AROUND}`, class: 'ground' }),
    s('path', { d: `M${points.map(({ x, y }) => `${x} ${y}`).join('L')}`, class: 'course' }),
    ...points.map(({ x, y }) => s('circle', { cx: x, cy: y, r: 3 })),
    label(first, 'start') ?? null, label(last, 'end') ?? null);
}
