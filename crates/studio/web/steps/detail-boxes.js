// Part of step 4: detail boxes drawn on the canvas, each with a grid of its own.

import { arrowStep, measure, parted, setSentence, withUnit } from '../parts/measure.js';
import { button, field, row, tick, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { sidesOf, twinLines } from '../parts/lines.js';
import { partsField } from '../parts/parts-field.js';

/** @import { DetailView, Edit, RectMm, View, Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** A box drawn smaller than this on screen was a tap, in pixels. */
const LEAST_DRAWN = 16;
/** The first box, where there is no head: this share of the canvas's shorter side. */
const FIRST_SHARE = 0.35;
/** Around a head, the box is this much higher than the head, and 4/5 as wide as high. */
const AROUND_HEAD = 1.2;

/** @param {Desk} desk */
export function detailBoxes(desk) {
  const { painting, stage, sight } = desk;
  const trouble = troubleLine(painting);
  const edit = (/** @type {Edit | (() => Edit)} */ made) => painting.edit(made);
  const act = (/** @type {Edit} */ made) => trouble.act(edit(made));
  /** Which box is in hand. */
  let at = 0;
  const boxes = h('ul', { class: 'boxes' });
  const controls = boxControls(edit, act, () => at, painting);
  const add = button('Add a detail box', () => addBox(firstBox(desk.view, stage.size)));
  const element = h('section', { class: 'stack ruled' },
    h('h3', {}, 'Detail boxes'),
    h('p', { class: 'hint' }, 'A smaller box with a grid of its own, such as a head in a full figure. Draw one on the canvas, or add one and move it.'),
    add, boxes, trouble.element, controls.element);

  const handles = new Handles(stage, {
    points: [{ name: 'Top left corner of the detail box', look: 'corner' }, { name: 'Bottom right corner of the detail box', look: 'corner' }, { name: 'The whole detail box', look: 'whole' }],
    step: () => arrowStep(painting.view.unit),
    hold(index, points) {
      const [a = [0, 0], b = [0, 0], middle = [0, 0]] = points;
      if (index === 2) {
        const [right, down] = [(b[0] - a[0]) / 2, (b[1] - a[1]) / 2];
        points[0] = [middle[0] - right, middle[1] - down];
        points[1] = [middle[0] + right, middle[1] + down];
      } else {
        points[2] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      }
      void painting.try(drag(points));
    },
    done: (points) => trouble.act(painting.edit(drag(points))),
    cancel: () => painting.endTry(),
  });

  /** @param {Xy[]} points @returns {Edit} */
  function drag([a = [0, 0], b = [0, 0]]) {
    const [left, top, width, height] = between(a, b);
    return { detail: { do: 'drag', at, corner: [left, top], size: [width, height] } };
  }

  /** @param {RectMm} rect */
  function addBox([left, top, width, height]) {
    const next = painting.view.details.length;
    trouble.act(edit({ detail: { do: 'add', corner: [left, top], size: [width, height] } }).then(() => {
      at = next;
      desk.refresh();
    }));
  }

  let isOpen = false;
  /** The corner from which a box is being drawn, and where the finger is. @type {[Xy, Xy] | null} */
  let drawn = null;
  stage.whenDrawn(() => {
    if (!isOpen || !stage.view) return;
    const box = stage.view.details[at];
    handles.show(Boolean(box));
    if (box) {
      const [left, top, width, height] = box.rect;
      handles.lay([[left, top], [left + width, top + height], [left + width / 2, top + height / 2]]);
    }
    stage.overlay.replaceChildren(...(drawn ? twinLines(sidesOf(between(...drawn)), { px: stage.px, width: 1.5 }) : []));
  });

  return {
    element,
    /** @param {View} view */
    update(view) {
      at = Math.max(0, Math.min(at, view.details.length - 1));
      fillList(boxes, view.details, at, (index) => {
        at = index;
        desk.refresh();
      });
      controls.update(view.details[at]);
    },
    open() {
      isOpen = true;
      const giveUp = () => {
        drawn = null;
        stage.draw();
      };
      stage.give({
        down: (_, point) => { drawn = [point, point]; },
        move(_, point) {
          if (!drawn) return;
          drawn = [drawn[0], point];
          stage.draw();
        },
        up() {
          if (!drawn) return;
          const rect = between(...drawn);
          drawn = null;
          if (Math.min(rect[2], rect[3]) > LEAST_DRAWN * stage.px) addBox(rect);
          stage.draw();
        },
        cancel: giveUp,
        drop: giveUp,
        key(event) {
          const steps = handles.shown && arrow(event);
          if (steps) handles.nudge(2, steps);
        },
      }, 'The canvas with its grid. Arrow keys move the detail box in hand.');
      sight.changed();
    },
    close() {
      isOpen = false;
      handles.show(false);
      stage.overlay.replaceChildren();
      stage.give({});
    },
  };
}

/**
 * The controls of the box in hand.
 * @param {(edit: Edit | (() => Edit)) => Promise<unknown>} edit @param {(edit: Edit) => void} act @param {() => number} at
 * @param {import('../painting.js').Painting} painting
 */
function boxControls(edit, act, at, painting) {
  /**
   * An edit of the box that is in hand now, though another may be when its turn has come. What is not changed stays as it is then.
   * @param {(number: number, box: DetailView | undefined) => Edit} made
   */
  const editBox = (made) => {
    const number = at();
    return edit(() => made(number, painting.view.details[number]));
  };
  const place = (/** @type {{ left?: string, top?: string, width?: string, height?: string }} */ change) => editBox((number, box) => {
    const { left = '', top = '', size = '' } = box ?? {};
    const [across = '', height = ''] = size.split(' x ');
    const width = withUnit(across, parted(height)[1]);
    return { detail: { do: 'place', at: number, left, top, width, height, ...change } };
  });
  const divide = (/** @type {{ columns?: number, rows?: number, diagonals?: boolean }} */ change) => editBox((number, box) => {
    const [columns, rows] = box?.grid.parts ?? [4, 4];
    return { detail: { do: 'divide', at: number, columns, rows, diagonals: box?.grid.diagonals ?? false, ...change } };
  });
  const name = field({ label: 'Name', kind: 'text', wide: true, commit: (text) => edit({ detail: { do: 'name', at: at(), name: text } }) });
  const left = field({ label: 'From the left', commit: (text) => place({ left: text }) });
  const top = field({ label: 'From the top', commit: (text) => place({ top: text }) });
  const width = field({ label: 'Width', commit: (text) => place({ width: text }) });
  const height = field({ label: 'Height', commit: (text) => place({ height: text }) });
  const columns = partsField('Columns', (columns) => divide({ columns }));
  const rows = partsField('Rows', (rows) => divide({ rows }));
  const diagonals = tick({ label: 'Diagonals', pick: (on) => void divide({ diagonals: on }) });
  const oneSheet = h('p', { class: 'hint' });
  const outOfSquare = h('p', { class: 'hint', hidden: true }, 'On a canvas out of square the box’s place is counted along the top side and square to it. What to measure from each side is told in line 5, Mark-up.');
  const element = h('div', { class: 'inset stack', role: 'group', 'aria-label': 'The detail box in hand' },
    name.element,
    h('div', { class: 'pairs' }, left.element, top.element, width.element, height.element, columns.element, rows.element),
    oneSheet, outOfSquare,
    row(diagonals.element, button('Take this box away', () => act({ detail: { do: 'remove', at: at() } }), { kind: 'quiet' })));
  return {
    element,
    /** @param {DetailView | undefined} detail */
    update(detail) {
      element.hidden = !detail;
      if (!detail) return;
      name.set(detail.name);
      left.set(detail.left);
      top.set(detail.top);
      const [across = '', down = ''] = detail.size.split(' x ');
      width.set(withUnit(across, parted(down)[1]));
      height.set(down);
      columns.set(String(detail.grid.parts?.[0] ?? ''));
      rows.set(String(detail.grid.parts?.[1] ?? ''));
      diagonals.set(detail.grid.diagonals);
      setSentence(oneSheet, detail.one_sheet ?? '');
      outOfSquare.hidden = !painting.view.canvas.measured;
    },
  };
}

/** @param {Element} into @param {DetailView[]} details @param {number} at @param {(index: number) => void} pick */
function fillList(into, details, at, pick) {
  const what = JSON.stringify([details.map(({ name, size }) => [name, size]), at]);
  if (into.getAttribute('data-list') === what) return;
  into.setAttribute('data-list', what);
  into.replaceChildren(...details.map(({ name, size }, index) => h('li', {},
    h('button', { type: 'button', class: 'entry-line', 'aria-pressed': String(index === at), onclick: () => pick(index) },
      h('span', {}, name || 'Without a name'), measure(size.replace(/ (in|cm|mm) x/, ' x'))))));
}

/** @param {Xy} a @param {Xy} b @returns {RectMm} */
const between = (a, b) => [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1])];

/** Where a box is laid first: around the head, or in the middle. @param {View} view @param {Xy} size @returns {RectMm} */
function firstBox(view, [width, height]) {
  const head = view.reference?.head;
  if (head) {
    const tall = Math.hypot(head.crown[0] - head.chin[0], head.crown[1] - head.chin[1]) * AROUND_HEAD;
    const [x, y] = [(head.crown[0] + head.chin[0]) / 2, (head.crown[1] + head.chin[1]) / 2];
    const rect = between(inside([x - tall * 0.4, y - tall / 2], [width, height]), inside([x + tall * 0.4, y + tall / 2], [width, height]));
    if (rect[2] > 0 && rect[3] > 0) return rect;
  }
  const side = Math.min(width, height) * FIRST_SHARE;
  return [(width - side) / 2, (height - side) / 2, side, side];
}

/** @param {Xy} at @param {Xy} size @returns {Xy} */
const inside = ([x, y], [width, height]) => [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
