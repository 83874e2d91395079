// Part of the likeness: proportional dividers. Their setting for a picture at a ratio, or for the picture as large as it is
// on this screen now, and where the pivot sits on the painter's own pair.

import * as server from '../server.js';
import { choice, field, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { keep, recall } from '../sight.js';
import { measured, whenScreenChanges } from '../easel/screen.js';
import { UNIT_SIGN, setSentence } from '../parts/measure.js';

/** @import { Desk } from '../desk.js' */
/** @import { Part } from './likeness.js' */

/** The wall is still for so long before the setting for it is asked for, in ms. */
const AT_REST = 200;

/** @param {Desk} desk @returns {Part} */
export function dividers(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  const kept = { by: /** @type {'ratio' | 'screen'} */ ('ratio'), ratio: '1:2', length: '', ...recall('dividers', {}) };
  let isOpen = false;

  const by = choice({
    legend: 'The picture is seen',
    options: /** @type {['ratio' | 'screen', string][]} */ ([['ratio', 'At a ratio'], ['screen', 'On this screen, as large as it is now']]),
    pick: (value) => change({ by: value }),
  });
  const ratio = field({ label: 'Picture to canvas', kind: 'text', commit: (text) => ask({ ...kept, ratio: text.trim() }).then(() => change({ ratio: text.trim() })) });
  const length = field({
    label: 'Length of your dividers', wide: true, hint: 'From point to point when closed; may be left blank.',
    commit: (text) => ask({ ...kept, length: text.trim() }).then(() => change({ length: text.trim() })),
  });
  for (const { input } of [ratio, length]) for (const kind of ['input', 'keyup']) input.addEventListener(kind, hideWhatDiffers);
  const notMeasured = h('p', { class: 'remark' }, 'This screen is not measured yet. Measure it once, ', h('a', { href: `/easel/${encodeURIComponent(painting.state.id)}` }, 'on the easel'), ', and come back.');
  const setting = h('p', { class: 'remark', role: 'status' });
  const pivot = h('p', { class: 'remark', role: 'status' });

  /** @param {Partial<typeof kept>} to */
  function change(to) {
    Object.assign(kept, to);
    keep('dividers', kept);
    shown = '';
    for (const told of [setting, pivot]) setSentence(told, '');
    show();
  }

  /** What belongs to another ratio or length than the one that is typed is not told. */
  function hideWhatDiffers() {
    setting.hidden = (kept.by === 'screen' && !ofScreen()) || (kept.by === 'ratio' && ratio.differs);
    pivot.hidden = setting.hidden || length.differs;
  }

  /** The picture's size on this screen to the canvas's; null while the screen is not measured. */
  function ofScreen() {
    const screen_ = measured();
    return screen_ && 1 / stage.px / screen_.perMm;
  }

  /** @param {typeof kept} wanted */
  const ask = (wanted) => server.dividers(painting.state.id, wanted.by === 'ratio' ? wanted.ratio : `${(ofScreen() ?? 1).toFixed(5)}:1`, wanted.length);

  /** What was asked for last. */
  let shown = '';
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;
  function show() {
    by.set(kept.by);
    ratio.set(kept.ratio);
    length.setUnit(UNIT_SIGN[painting.view.unit]);
    length.set(kept.length);
    ratio.element.hidden = kept.by !== 'ratio';
    const unknown = kept.by === 'screen' && !ofScreen();
    notMeasured.hidden = !unknown;
    hideWhatDiffers();
    if (!isOpen || unknown) return;
    const what = JSON.stringify([kept, kept.by === 'screen' && ofScreen()?.toFixed(5), painting.view.ruler, painting.view.unit]);
    if (what === shown) return;
    shown = what;
    clearTimeout(rest);
    rest = setTimeout(() => trouble.act(ask(kept).then((set) => {
      if (what !== shown) return;
      setSentence(setting, kept.by === 'screen' ? `Picture to canvas ${set.ratio}. ${set.setting}` : set.setting);
      setSentence(pivot, set.pivot ?? '');
      hideWhatDiffers();
    })), AT_REST);
  }

  stage.whenDrawn(() => isOpen && show());
  whenScreenChanges(() => isOpen && show());
  return {
    element: h('div', { class: 'stack' }, by.element, ratio.element, notMeasured, setting, length.element, pivot, trouble.element,
      h('p', { class: 'hint' }, 'The narrow points measure the smaller of the two, picture or canvas.')),
    update: show,
    open() {
      isOpen = true;
      shown = '';
      show();
    },
    close() { isOpen = false; },
  };
}
