// The notebook: the numbered lines of the work, each with the sentence that says how things stand. A line that is
// touched opens in place to its controls; on a small screen its controls lie over the notebook as a sheet.

import { h, setText } from './parts/dom.js';
import { pullUp } from './parts/pull-up.js';
import { setSentence } from './parts/measure.js';

/** @import { NotebookLine, StepKey, View } from './api.js' */
/** @import { Step } from './desk.js' */

/** How a line stands, in a word. @type {Record<NotebookLine['state'], string>} */
const STANDING = { done: '', needed: 'to do', look: 'look again' };

/** Between parts that stand apart on the page, for those who hear it. */
const pause = () => h('span', { class: 'unseen' }, '. ');

/**
 * @param {HTMLElement} lines the list
 * @param {[key: StepKey | 'notes', title: string, step: Step][]} steps
 * @param {() => void} rest called when no line is open any more
 */
export function notebook(lines, steps, rest) {
  /** @type {StepKey | 'notes' | null} */
  let open = null;
  const entries = steps.map(([key, title, step], index) => {
    // What is no step of the work has no number.
    const number = step.sentence ? '' : String(index + 1);
    const sentence = h('span', { class: 'sentence' });
    const standing = h('span', { class: 'standing' });
    const panel = h('div', { class: 'panel', id: `panel-${key}`, role: 'region', 'aria-labelledby': `line-${key}`, hidden: true });
    const line = h('button', {
      type: 'button', class: 'line-button', id: `line-${key}`, 'aria-expanded': 'false', 'aria-controls': `panel-${key}`,
      onclick: () => toggle(open === key ? null : key),
    },
    h('span', { class: 'number' }, number),
    h('span', { class: 'title' }, title), pause(), standing, pause(), sentence);
    const item = h('li', {}, h('h2', {}, line), panel);
    panel.append(pullUp(panel, `${number} ${title}`.trim(), () => {
      toggle(null);
      line.focus();
    }), h('div', { class: 'controls' }, step.panel));
    lines.append(item);
    return { key, step, sentence, standing, panel, line, item };
  });

  /** @param {StepKey | 'notes' | null} key */
  function toggle(key) {
    const before = entries.find((entry) => entry.key === open);
    before?.step.close();
    open = key;
    for (const entry of entries) {
      const isOpen = entry.key === key;
      entry.panel.hidden = !isOpen;
      entry.item.classList.toggle('open', isOpen);
      entry.line.setAttribute('aria-expanded', String(isOpen));
    }
    const now = entries.find((entry) => entry.key === key);
    if (now && shown) now.step.update(shown);
    if (now) now.step.open();
    else rest();
    now?.item.scrollIntoView({ block: 'nearest' });
    if (now && now.item.getBoundingClientRect().height > lines.clientHeight) now.item.scrollIntoView({ block: 'start' });
    history.replaceState(null, '', key ? `#${key}` : location.pathname);
  }

  /** @type {View | null} */
  let shown = null;
  return {
    /** @param {View} view */
    update(view) {
      shown = view;
      const next = view.notebook.find(({ state }) => state === 'needed')?.key;
      for (const entry of entries) {
        const line = view.notebook.find(({ key }) => key === entry.key);
        const more = entry.step.more?.() ?? '';
        setSentence(entry.sentence, entry.step.sentence?.() ?? [line?.sentence, more].filter(Boolean).join('; '));
        if (line) setText(entry.standing, STANDING[line.state]);
        entry.item.classList.toggle('next', entry.key === next);
        if (entry.key === open) entry.step.update(view);
      }
    },
    /** @param {StepKey | 'notes' | null} key */
    open: toggle,
    /** The line that is open. */
    get opened() { return open; },
  };
}
