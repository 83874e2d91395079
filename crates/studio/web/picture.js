// Draws what is seen on the stage: the canvas with the photo, its grid, guide lines, detail boxes, marks and seams; or
// the photo by itself. Each layer is drawn anew only when what it shows has changed.

import { lineLook, sidesOf, twinLines } from './parts/lines.js';
import { s } from './parts/dom.js';
import { svgMeasure, textScale } from './parts/dimensions.js';
import { parted } from './parts/measure.js';

/** @import { Side, View, Xy } from './api.js' */
/** @import { Stage } from './stage.js' */

/** Away from the canvas, from each side. @type {Record<Side, Xy>} */
const OUTWARD = { top: [0, -1], right: [1, 0], bottom: [0, 1], left: [-1, 0] };

/** What each layer shows at present, to tell whether it has changed. @type {WeakMap<Element, string>} */
const shown = new WeakMap();

/** A path around more than any wall shows, in mm. */
const EVERYWHERE = 'M-99999 -99999H99999V99999H-99999Z';

/** From so near the finer picture of the easel is shown, over the other until it has come. */
const NEAR = 2;

/** How much room the name of a sheet takes, in its type's size: `sheet A1`. */
const NAME_EMS = 4.5;

/** @param {Stage} stage */
export function drawCanvas(stage) {
  const { view, photo, sight, px } = stage;
  if (!view) return;
  const { looks } = sight;
  const reference = view.reference;
  const outline = view.canvas.outline.map((corner) => corner.join(' ')).join('L');
  const ground = layer(stage.canvasLayers, 'ground');
  redraw(ground, outline, () => [
    s('clipPath', { id: 'canvas-clip' }, s('path', { d: `M${outline}Z` })),
    s('clipPath', { id: 'wall-clip' }, s('path', { d: `M${outline}Z${EVERYWHERE}`, 'clip-rule': 'evenodd' })),
    s('path', { d: `M${outline}Z`, class: 'primed' }),
  ]);

  const picture = layer(stage.canvasLayers, 'picture');
  const isNear = stage.nearness.times >= NEAR;
  redraw(picture, photo && reference ? `${photo.picture} ${reference.size} ${isNear}` : '', () => {
    if (!photo || !reference) return [];
    const place = { width: reference.size[0], height: reference.size[1] };
    return [
      s('g', {}, ...(isNear ? [photo.picture, photo.easel] : [photo.picture]).map((href) => s('image', { ...place, href, preserveAspectRatio: 'none' }))),
      // Beyond the canvas the photo is seen through the wall's own grey: to draw it a second time, faintly, would cost as much again.
      s('g', { 'clip-path': 'url(#wall-clip)' }, s('rect', { ...place, class: 'veil' })),
    ];
  });
  for (const moved of picture.querySelectorAll('image, rect')) {
    moved.setAttribute('transform', `matrix(${reference?.matrix.join(' ')})`);
  }
  picture.firstElementChild?.setAttribute('clip-path', sight.beyond ? 'none' : 'url(#canvas-clip)');
  drawToned(stage);

  const lines = lineLook(view, px);
  const guides = sight.guides ? view.guides.filter(({ guide }) => looks.guides.includes(guide)) : [];
  redraw(layer(stage.canvasLayers, 'guides'), JSON.stringify([guides, px]), () =>
    guides.flatMap((guide) => twinLines(guide.lines, { px, dash: '1 5' })));
  const grid = looks.grid && sight.grid ? view.grid.lines : [];
  redraw(layer(stage.canvasLayers, 'grid'), JSON.stringify([grid, lines]), () => twinLines(grid, lines));
  const details = sight.details ? view.details : [];
  redraw(layer(stage.canvasLayers, 'details'), JSON.stringify([details, lines]), () =>
    details.flatMap((detail) => [
      ...twinLines(detail.grid.lines, { ...lines, width: 1 }),
      ...twinLines(sidesOf(detail.rect), { ...lines, width: Math.max(lines.width, 1.5) }),
    ]));
  redraw(layer(stage.canvasLayers, 'marks'), sight.marks ? JSON.stringify([view.canvas.sides, px]) : '', () =>
    (sight.marks ? marks(view, px) : []));
  const seams = sight.seams ? view.sheets : null;
  redraw(layer(stage.canvasLayers, 'seams'), seams ? JSON.stringify([seams, sight.sheetNames, px]) : '', () => (seams ? seamLines(view, px, sight.sheetNames) : []));
}

/**
 * The photo in another tone, over the photo itself. Until a new one of the same tone is there, the former stays.
 * @param {Stage} stage
 */
function drawToned({ view, photo, sight, toned, canvasLayers }) {
  const group = layer(canvasLayers, 'toned');
  const reference = view?.reference;
  const isShown = Boolean(photo && reference) && sight.tone !== 'photo';
  const what = `${photo?.picture} ${sight.tone}`;
  const address = isShown ? toned.picture(photo, sight.tone) : null;
  if (address && reference) {
    redraw(group, `${address} ${reference.size}`, () => [
      s('g', { 'clip-path': 'url(#canvas-clip)' },
        s('image', { href: address, width: reference.size[0], height: reference.size[1], preserveAspectRatio: 'none' }))]);
    group.setAttribute('data-of', what);
  }
  group.querySelector('image')?.setAttribute('transform', `matrix(${reference?.matrix.join(' ')})`);
  group.toggleAttribute('hidden', !isShown || group.getAttribute('data-of') !== what);
}

/** A picture by itself. @param {Stage} stage */
export function drawPhoto({ photoLayers, laid }) {
  redraw(layer(photoLayers, 'photo'), laid?.href ?? '', () =>
    (laid ? [s('image', { href: laid.href, width: laid.size[0], height: laid.size[1], preserveAspectRatio: 'none' })] : []));
}

/**
 * The marks outside each side, with their readings from the left or the top.
 * @param {View} view @param {number} px
 */
function marks(view, px) {
  return view.canvas.sides.flatMap(({ side, marks: sideMarks }) => {
    const out = OUTWARD[side];
    const anchor = { top: 'middle', right: 'start', bottom: 'middle', left: 'end' }[side];
    const drop = { top: -2, right: 4, bottom: 12, left: 4 }[side];
    let last = -Infinity;
    return sideMarks.flatMap(({ at: [x, y], from_start: reading }) => {
      const ticks = s('path', { d: `M${x + out[0] * 3 * px} ${y + out[1] * 3 * px}L${x + out[0] * 11 * px} ${y + out[1] * 11 * px}`, class: 'mark-tick' });
      const along = side === 'top' || side === 'bottom' ? x : y;
      const room = (side === 'top' || side === 'bottom' ? 44 : 16) * px;
      if (along - last < room) return [ticks];
      last = along;
      const text = s('text', {
        x: x + out[0] * 15 * px, y: y + (out[1] * 15 + drop) * px, 'text-anchor': anchor, 'font-size': 13 * textScale() * px, class: 'mark-reading',
      }, ...svgMeasure(parted(reading)[0]));
      return [ticks, text];
    });
  });
}

/** Where one sheet ends and the next begins, and the name of each, if they are named. @param {View} view @param {number} px @param {boolean} named */
function seamLines(view, px, named) {
  const sheets = view.sheets;
  if (!sheets || sheets.problem) return [];
  const [, , far] = view.canvas.outline;
  const windows = sheets.windows.map(({ rect }) => rect);
  const [left, right] = [Math.min(...windows.map(([x]) => x), far[0]), Math.max(...windows.map(([x, , width]) => x + width), 0)];
  const [top, bottom] = [Math.min(...windows.map(([, y]) => y), far[1]), Math.max(...windows.map(([, y, , height]) => y + height), 0)];
  const uprights = [left, ...sheets.upright_seams, right];
  const levels = [top, ...sheets.level_seams, bottom];
  const names = levels.slice(0, -1).flatMap((y, rowAt) => uprights.slice(0, -1).map((x, columnAt) => {
    const name = sheets.windows[rowAt * (uprights.length - 1) + columnAt]?.name ?? '';
    const [width, height] = [(uprights[columnAt + 1] ?? x) - x, (levels[rowAt + 1] ?? y) - y];
    // No wider than the part that it names; the word keeps it from being taken for a box of the grid.
    const size = Math.min(24 * px, width / NAME_EMS);
    // At the head of its sheet, where in the middle the face would be.
    return s('text', { x: x + width / 2, y: y + Math.min(1.6 * size, height / 2 + size / 3), 'text-anchor': 'middle', 'font-size': size, class: 'over-picture' }, `sheet ${name}`);
  }));
  return [
    ...twinLines(sheets.upright_seams.map((x) => [x, top, x, bottom]), { px, width: 1.5, dash: '9 5' }),
    ...twinLines(sheets.level_seams.map((y) => [left, y, right, y]), { px, width: 1.5, dash: '9 5' }),
    ...(named ? names : []),
  ];
}

/** The named layer, made on first use, in the order of first use. @param {Element} parent @param {string} name */
function layer(parent, name) {
  const found = parent.querySelector(`:scope > .${name}`);
  if (found) return found;
  const made = s('g', { class: name });
  parent.append(made);
  return made;
}

/** @param {Element} group @param {string} what @param {() => SVGElement[]} draw */
function redraw(group, what, draw) {
  if (shown.get(group) === what) return;
  shown.set(group, what);
  group.replaceChildren(...draw());
}

