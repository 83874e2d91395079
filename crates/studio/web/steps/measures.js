// Part of the likeness: measures between two points of the reference, kept, and told in terms of one of them.

import { arrowStep, measure } from '../parts/measure.js';
import { button, field, row, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';
import { twinLines } from '../parts/lines.js';

/** @import { Edit, LikenessView, MeasureView, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Part } from './likeness.js' */

/** Where a measure first lies, as shares of the canvas. @type {[Xy, Xy]} */
const FIRST_ENDS = [[0.4, 0.4], [0.6, 0.4]];

/** @param {Desk} desk @returns {Part} */
export function measures(desk) {
  const { painting, stage } = desk;
  const trouble = troubleLine();
  /** The measure in hand. */
  let name = '';
  let wanted = '';
  const title = field({ label: 'What it is', kind: 'text', wide: true, commit(text) { wanted = text.trim(); } });
  const fresh = button('Take a measure', () => {
    const taken = wanted || freeName(desk.view.likeness);
    const [width, height] = stage.size;
    const [from, to] = FIRST_ENDS.map(([x, y]) => /** @type {Xy} */ ([x * width, y * height]));
    if (!from || !to) return;
    wanted = '';
    title.input.value = '';
    trouble.act(painting.edit({ likeness: { do: 'measure', name: taken, from, to } }).then(() => take(taken)));
  }, { kind: 'next' });
  const held = inHand({
    legend: 'In hand', things: [['0', 'One end'], ['1', 'The other']], take: () => undefined,
    nudge: (key, steps) => ends.nudge(Number(key), steps), hint: 'Drag its ends on the canvas; arrow keys do the same.',
  });
  const kept = h('ul', { class: 'kept' });

  /** @param {Xy[]} points @returns {Edit} */
  const edit = ([from = [0, 0], to = [0, 0]]) => ({ likeness: { do: 'measure', name, from, to } });
  const ends = new Handles(stage, {
    points: [{ name: 'One end of the measure', look: 'end' }, { name: 'The other end of the measure', look: 'end' }],
    step: () => arrowStep(painting.view.unit),
    loupe: true,
    hold: (_, points) => void painting.try(edit(points)),
    done: (points) => trouble.act(painting.edit(edit(points))),
    cancel: () => painting.endTry(),
    taken: (index) => held.take(String(index)),
  });

  /** @param {string} taken */
  function take(taken) {
    name = taken;
    shown = '';
    update(desk.view);
    stage.draw();
  }

  let shown = '';
  /** @param {View} view */
  function update({ likeness }) {
    if (!likeness.measures.some((one) => one.name === name)) name = likeness.measures[0]?.name ?? '';
    held.element.hidden = !name;
    const what = JSON.stringify([likeness.measures, name]);
    if (what === shown) return;
    shown = what;
    const unit = likeness.measures.find((one) => one.is_unit)?.name ?? '';
    kept.replaceChildren(...likeness.measures.map((one) => measureItem(one, unit)));
  }

  /** @param {MeasureView} one @param {string} unit */
  function measureItem(one, unit) {
    const mine = one.name === name;
    const inUnits = one.in_units !== null && !one.is_unit ? `, ${one.in_units.toFixed(2)} times ${unit}` : '';
    return h('li', { class: mine ? 'mine' : '' },
      h('p', {}, h('b', {}, one.name), ' ', measure(one.length), ` (${one.length_mm.toFixed(1)} mm)${inUnits}`),
      h('p', { class: 'hint' }, 'run ', measure(one.run), ', rise ', measure(one.rise), `, ${one.lean}`),
      row(
        mine ? null : button('Take in hand', () => take(one.name), { name: `Take ${one.name} in hand`, kind: 'quiet' }),
        button(one.is_unit ? 'Not the unit' : 'As the unit', () => trouble.act(painting.edit({ likeness: { do: 'unit-measure', name: one.is_unit ? null : one.name } })),
          { name: one.is_unit ? `${one.name} is no longer the unit` : `State the others in terms of ${one.name}`, kind: 'quiet' }),
        button('Take away', () => trouble.act(painting.edit({ likeness: { do: 'forget-measure', name: one.name } })), { name: `Take ${one.name} away`, kind: 'quiet' })));
  }

  let isOpen = false;
  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const mine = stage.view.likeness.measures.find((one) => one.name === name);
    ends.show(Boolean(mine));
    if (mine) ends.lay([mine.from, mine.to]);
    const [from, to] = ends.points;
    const drawn = mine && from && to ? twinLines([[...from, ...to]], { px: stage.px, width: 1.5 }) : [];
    const others = stage.view.likeness.measures.filter((one) => one.name !== name);
    stage.overlay.replaceChildren(...twinLines(others.map((one) => [...one.from, ...one.to]), { px: stage.px, dash: '4 4' }), ...drawn);
  });

  return {
    element: h('div', { class: 'stack' }, title.element, fresh, held.element, trouble.element, kept),
    update,
    open() { isOpen = true; },
    close() {
      isOpen = false;
      ends.show(false);
      stage.overlay.replaceChildren();
    },
  };
}

/** The first of Measure 1, Measure 2, … that is free. @param {LikenessView} likeness */
function freeName({ measures: taken }) {
  for (let number = 1; ; number += 1) {
    const free = `Measure ${number}`;
    if (taken.every((one) => one.name !== free)) return free;
  }
}
