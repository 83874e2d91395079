// Part of the check: the planned lines on the squared-up photo, each in the style of its verdict with its error enlarged, and
// told in words.

import { field } from '../parts/controls.js';
import { freshId, h, s, setText } from '../parts/dom.js';
import { sentenceParts, setSentence } from '../parts/measure.js';
import { twinLines } from '../parts/lines.js';

/** @import { CheckChange, CheckView, LineMm, LineView, VerdictView } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { CheckPart } from './check.js' */

/** Half the gap between the two strokes of a line that is off, in screen pixels. */
const APART = 2.4;
/** Half the length of the sample beside a line's words. */
const SAMPLE = 17;

/** @param {Desk} desk @param {(change: CheckChange) => Promise<void>} change @returns {CheckPart} */
export function checkedLines({ stage }, change) {
  /** @type {CheckView | null} */
  let check = null;
  /** The line that is pointed at. */
  let pointed = '';
  let detailed = false;
  const tolerance = field({ label: 'Let pass', commit: (text) => change({ tolerance: text }) });
  const few = h('p', { class: 'remark doubt' });
  const enlarged = h('p', { class: 'hint' });
  const lines = h('ul', { class: 'checked-lines' });
  /** The lines that were not seen, one item for all: paint hides most of them. */
  const unseen = h('ul', { class: 'checked-lines', id: freshId('unseen'), hidden: true });
  const unseenPress = h('button', { type: 'button', class: 'quiet', 'aria-expanded': 'false', 'aria-controls': unseen.id, onclick: () => openUnseen(unseen.hidden) });
  const shape = h('p', {});
  const warnings = h('ul', { class: 'checked-warnings' });

  /** @param {boolean} open */
  function openUnseen(open) {
    unseen.hidden = !open;
    unseenPress.setAttribute('aria-expanded', String(open));
  }

  /** @param {LineView} line */
  function lineItem(line) {
    const press = h('button', {
      type: 'button', class: 'checked-line', 'aria-pressed': 'false',
      onclick: () => {
        pointed = pointed === line.name ? '' : line.name;
        for (const other of [lines, unseen].flatMap((list) => [...list.querySelectorAll('button')])) other.setAttribute('aria-pressed', String(other === press && pointed !== ''));
        stage.draw();
      },
    }, sample(line.verdict), h('span', {}, h('b', {}, ...sentenceParts(line.name)), ' ', ...sentenceParts(line.words)));
    return h('li', {}, press);
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !check) return;
    const { px } = stage;
    const planned = twinLines(check.lines.map(({ planned: line }) => line), { px, width: 0.75, dash: '3 5' });
    const strangers = check.unplanned.flatMap((line) => verdictLine(line, 'cannot-tell', px));
    const seen = [...check.lines].reverse().flatMap((line) => (line.enlarged ? verdictLine(line.enlarged, line.verdict, px, line.name === pointed) : []));
    const pointedAt = check.lines.find(({ name }) => name === pointed);
    stage.overlay.replaceChildren(...planned, ...strangers, ...seen, ...(pointedAt ? [labelOf(pointedAt, px)] : []));
  });

  return {
    element: h('div', { class: 'stack' }, few, enlarged, lines, unseenPress, unseen, tolerance.element,
      h('h3', {}, 'The canvas’s own shape'), shape, h('h3', {}, 'What to know'), warnings),
    show(one) {
      if (check?.number !== one.number) {
        pointed = '';
        openUnseen(false);
      }
      check = one;
      tolerance.set(one.tolerance);
      setSentence(few, [one.doubt, one.few_seen].filter(Boolean).join(' '));
      setSentence(enlarged, one.lines.length
        ? `On the wall each line stands where it was seen, its error drawn ${one.enlarged} times as large: one stroke is true, two are off. Dots cannot tell, and stand where they seem to be. Dashes are where the plan has it.`
        : 'The plan has no lines to check.');
      const hidden = one.lines.filter(({ seen }) => !seen);
      const apart = hidden.length > 1 ? hidden : [];
      lines.replaceChildren(...one.lines.filter((line) => !apart.includes(line)).map(lineItem));
      unseen.replaceChildren(...apart.map(lineItem));
      unseenPress.hidden = !apart.length;
      if (!apart.length) openUnseen(false);
      setText(unseenPress, `${apart.length} lines were not seen${detailed ? ', with those of the detail boxes' : ''}`);
      setSentence(shape, one.shape);
      warnings.replaceChildren(...one.warnings.map((warning) => h('li', {}, ...sentenceParts(warning))));
    },
    update({ details }) { detailed = details.length > 0; },
    open() {
      isOpen = true;
      if (check) stage.checked.replaceChildren(squaredUp(check));
      stage.give({});
    },
    close() {
      isOpen = false;
      stage.overlay.replaceChildren();
    },
  };
}

/** The canvas as the photo shows it, where it lies on the wall. @param {CheckView} check */
export function squaredUp({ picture, bounds: [x, y, width, height] }) {
  return s('image', { href: picture, x, y, width, height, preserveAspectRatio: 'none' });
}

/** @param {LineMm} line @param {VerdictView} verdict @param {number} px @param {boolean} [pointed] */
function verdictLine([ax, ay, bx, by], verdict, px, pointed = false) {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const path = (/** @type {string} */ cls, /** @type {number} */ off) => {
    const [dx, dy] = [(-(by - ay) / length) * off * px, ((bx - ax) / length) * off * px];
    return s('path', { d: `M${ax + dx} ${ay + dy}L${bx + dx} ${by + dy}`, class: `verdict-line ${cls} ${verdict}${pointed ? ' pointed' : ''}` });
  };
  const offsets = verdict === 'off' ? [-APART, APART] : [0];
  return [...offsets.map((off) => path('casing', off)), ...offsets.map((off) => path('stroke', off))];
}

/** The style of a verdict, as it is drawn on the wall. @param {VerdictView} verdict */
function sample(verdict) {
  const said = { true: 'True: ', off: 'Off: ', 'cannot-tell': 'Cannot tell: ' }[verdict];
  return h('span', { class: 'verdict-sample' },
    s('svg', { viewBox: `${-SAMPLE} -6 ${2 * SAMPLE} 12`, width: 2 * SAMPLE, height: 12, 'aria-hidden': 'true' }, ...verdictLine([-SAMPLE, 0, SAMPLE, 0], verdict, 1).slice(verdict === 'off' ? 2 : 1)),
    h('span', { class: 'unseen' }, said));
}

/** @param {LineView} line @param {number} px */
function labelOf({ name, enlarged, planned }, px) {
  const [ax, ay, bx, by] = enlarged ?? planned;
  return s('text', { x: (ax + bx) / 2, y: (ay + by) / 2 - 8 * px, 'text-anchor': 'middle', 'font-size': 16 * px, class: 'over-picture' }, name);
}
