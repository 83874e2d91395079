// Step 2, Canvas: its size, the unit it is measured in, and its six measurements.

import * as server from '../server.js';
import { button, choice, field, list, row, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { keepUnit } from '../parts/usual.js';
import { parted, setSentence } from '../parts/measure.js';
import { sixMeasurements } from './six-measurements.js';

/** @import { Edit, Paper, StandardSize, Unit, View } from '../api.js' */
/** @import { Desk, Step } from '../desk.js' */

/** @type {Record<string, [value: string, label: string][]>} */
const RULERS = {
  inch: [['1/8', 'Eighths'], ['1/16', 'Sixteenths'], ['1/32', 'Thirty-seconds'], ['1/64', 'Sixty-fourths']],
  metric: [['mm', 'Millimetres'], ['0.5mm', 'Half millimetres']],
};
/** What the server calls a ruler, and what is asked for. @type {Record<string, string>} */
const RULER_NAMED = { '1/8 in': '1/8', '1/16 in': '1/16', '1/32 in': '1/32', '1/64 in': '1/64', '1 mm': 'mm', '0.5 mm': '0.5mm' };
const OTHER = 'other';
/** Canvases whose sides differ by no more than this share are as large for a head. */
const ALIKE = 0.005;
/** What papers are called. @type {Record<Paper, string>} */
const PAPER_NAMES = { letter: 'Letter', legal: 'Legal', tabloid: 'Tabloid', a4: 'A4', a3: 'A3' };

/** @param {Desk} desk @returns {Step} */
export function canvas(desk) {
  const { painting, sight } = desk;
  const trouble = troubleLine(painting);
  const edit = (/** @type {Edit} */ made) => trouble.act(painting.edit(made));

  const inProportion = proportion((height) => edit({ reference: { do: 'head-height', height } }));
  /** Another canvas; the head keeps its size, and it is asked whether it should. @param {Edit | (() => Edit)} made */
  const resize = async (made) => {
    const was = painting.view;
    const state = await painting.edit(made);
    inProportion.ask(was, state.view);
    return state;
  };
  const standard = list({ label: 'Standard sizes', pick: (name) => name !== OTHER && trouble.act(resize({ canvas: { do: 'standard', name } })) });
  /** @type {StandardSize[]} */
  let sizes = [];
  void server.sizes().then((all) => {
    sizes = all;
    fillSizes();
  }, () => undefined);
  /** The standard sizes, those in the painter's own unit first. */
  function fillSizes() {
    standard.fill([['', [[OTHER, 'Another size']]], ...grouped(sizes, painting.view.unit)]);
    standard.set(painting.view.canvas.standard ?? OTHER);
  }

  /** Width and height as they stand. @type {[string, string]} */
  let sides = ['', ''];
  const width = field({ label: 'Width', commit: (text) => resize(() => ({ canvas: { do: 'size', width: text, height: sides[1] } })) });
  const height = field({ label: 'Height', commit: (text) => resize(() => ({ canvas: { do: 'size', width: sides[0], height: text } })) });
  const turn = button('Turn it', () => edit({ canvas: { do: 'turn' } }), { name: 'Turn it: exchange width and height' });
  const otherUnit = h('p', { class: 'hint' });

  const unit = choice({
    legend: 'Lengths in',
    options: /** @type {[Unit, string][]} */ ([['inch', 'Inches'], ['centimetre', 'Centimetres'], ['millimetre', 'Millimetres']]),
    pick(value) {
      keepUnit(value);
      const before = painting.view.printing.paper;
      trouble.act(painting.edit({ canvas: { do: 'unit', unit: value } }).then(({ view }) => {
        const { paper } = view.printing;
        paperTold = paper;
        setSentence(paperSays, paper === before ? '' : `The sheets are printed on ${PAPER_NAMES[paper]} now; choose another paper under Print.`);
      }));
    },
  });
  const paperSays = h('p', { class: 'remark', role: 'status' });
  /** The paper that was told. @type {Paper | null} */
  let paperTold = null;
  const ruler = list({ label: 'The ruler is read to', pick: (value) => edit({ canvas: { do: 'ruler', ruler: value } }) });
  let rulersFor = '';
  const six = sixMeasurements(desk);
  const measuresGone = h('p', { class: 'remark', role: 'status' });
  /** The canvas as it was shown last. */
  let before = painting.view.canvas;

  /** @param {View} view */
  function update(view) {
    if (view.canvas.measured) setSentence(measuresGone, '');
    else if (before.measured && before.size !== view.canvas.size) setSentence(measuresGone, 'The six measurements were of the former canvas and went with it: measure this one. Undo brings them back.');
    before = view.canvas;
    inProportion.update(view);
    if (paperTold !== view.printing.paper) setSentence(paperSays, '');
    const [size, sign] = parted(view.canvas.size);
    const [across = '', down = ''] = size.split(' x ');
    sides = [`${across} ${sign}`, `${down} ${sign}`];
    width.set(sides[0]);
    height.set(sides[1]);
    setSentence(otherUnit, `That is about ${view.canvas.size_other_unit}.`);
    standard.set(view.canvas.standard ?? OTHER);
    unit.set(view.unit);
    const kind = view.unit === 'inch' ? 'inch' : 'metric';
    if (rulersFor !== kind) {
      ruler.fill([['', RULERS[kind] ?? []]]);
      fillSizes();
    }
    rulersFor = kind;
    ruler.set(RULER_NAMED[view.ruler] ?? '');
    six.update(view);
  }

  return {
    panel: h('div', { class: 'stack' },
      standard.element, row(width.element, height.element, turn), otherUnit, inProportion.element, unit.element, paperSays, ruler.element,
      trouble.element, measuresGone, six.element),
    update,
    open: () => sight.want({}),
    close: () => inProportion.forget(),
  };
}

/**
 * After the canvas became another: that the head keeps its size, and one press to make it as large on this canvas as it was on the former.
 * @param {(height: string) => void} make
 */
function proportion(make) {
  /** The canvas before the first change, and the head that has stayed as high since. @type {{ extent: [number, number], head: string } | null} */
  let former = null;
  let height = '';
  const says = h('p', { class: 'remark', role: 'status' });
  const press = button('', () => make(height));
  const element = h('div', { class: 'stack', hidden: true }, says, press);
  return {
    element,
    /** The canvas was changed. @param {View} was @param {View} view */
    ask(was, view) {
      const before = was.reference?.head;
      if (!former && before) former = { extent: extent(was), head: before.height };
      this.update(view);
    },
    /** @param {View} view */
    update(view) {
      const head = view.reference?.head;
      height = '';
      // Where the head is made as high again, by undo or by hand, it is asked again.
      if (former && head?.height === former.head) {
        const now = extent(view);
        const share = Math.min(now[0] / former.extent[0], now[1] / former.extent[1]);
        const mm = Math.hypot(head.chin[0] - head.crown[0], head.chin[1] - head.crown[1]);
        if (Math.abs(share - 1) > ALIKE) height = roundly(mm * share, view.unit);
      }
      element.hidden = !height;
      if (!former || !height) return;
      setSentence(says, `The head stays ${former.head} high.`);
      setSentence(press, `Make it ${height}, as large on this canvas as it was on the former`);
    },
    /** What was asked is not asked again. */
    forget() {
      former = null;
      element.hidden = true;
    },
  };
}

/** Width and height of the canvas's bounds, in mm. @param {View} view @returns {[number, number]} */
function extent({ canvas: { outline } }) {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
  return [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
}

/** A length as it is typed, to a sixteenth of an inch or a millimetre. @param {number} mm @param {Unit} unit */
function roundly(mm, unit) {
  if (unit === 'millimetre') return `${Math.max(Math.round(mm), 1)} mm`;
  if (unit === 'centimetre') return `${(Math.max(Math.round(mm), 1) / 10).toFixed(1)} cm`;
  const sixteenths = Math.max(Math.round(mm / 25.4 * 16), 1);
  const [whole, part] = [Math.floor(sixteenths / 16), sixteenths % 16];
  let [over, under] = [part, 16];
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  return `${[whole || '', over ? `${over}/${under}` : ''].filter(Boolean).join(' ')} in`;
}

/**
 * The standard sizes in groups: those of the painter's family of units first, then the others.
 * @param {StandardSize[]} sizes
 * @param {Unit} unit
 * @returns {[group: string, options: [value: string, label: string][]][]}
 */
function grouped(sizes, unit) {
  /** @type {Map<string, [value: string, label: string][]>} */
  const groups = new Map();
  for (const { name, width, height } of sizes) {
    const series = /^\d+ ([A-Z]\w+)$/.exec(name)?.[1];
    const group = series ?? (name.endsWith(' in') ? 'Inches' : 'Centimetres');
    const label = series ? `${name}, ${parted(width)[0]} × ${height}` : name;
    groups.set(group, [...(groups.get(group) ?? []), [name, label]]);
  }
  const isOwn = (/** @type {string} */ group) => (group === 'Inches') === (unit === 'inch');
  return [...groups].sort(([a], [b]) => Number(isOwn(b)) - Number(isOwn(a)));
}
