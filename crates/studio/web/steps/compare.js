// Part of the check: the squared-up painting and the reference on one canvas, one over the other: faded, flicked, split by an
// edge that moves, or as the difference of their values.

import { button, choice, row } from '../parts/controls.js';
import { freshId, h, s } from '../parts/dom.js';
import { Handles } from '../parts/handles.js';
import { squaredUp } from './checked-lines.js';
import { twinLines } from '../parts/lines.js';

/** @import { CheckView } from '../api.js' */
/** @import { Desk } from '../desk.js' */

/** @typedef {'painting' | 'reference' | 'fade' | 'split' | 'values'} Way */
/** @type {[Way, string][]} */
const WAYS = [['painting', 'Painting'], ['reference', 'Reference'], ['fade', 'Fade'], ['split', 'Split'], ['values', 'Values']];
/** What each way says. @type {Record<Way, string>} */
const HINTS = {
  painting: '', reference: '',
  fade: 'From the reference at the left to the painting at the right.',
  split: 'The painting to the left of the edge, the reference to its right. Drag the edge, or move it here.',
  values: 'After a squint: middle grey where painting and reference are alike, darker where the painting is too dark, lighter where it is too light. An indication, no more: a photo of wet paint is no measurement.',
};

/** @param {Desk} desk */
export function compare({ painting, stage }) {
  /** @type {Way} */
  let way = 'painting';
  /** How far the painting is faded in, and where the edge runs, as shares. */
  const share = { fade: 0.5, split: 0.5 };
  const ways = choice({ legend: 'Painting and reference', options: WAYS, pick: (value) => turn(value) });
  ways.set(way);
  const id = freshId('range');
  const range = h('input', {
    id, type: 'range', min: 0, max: 100, step: 1,
    oninput: () => { if (way === 'fade' || way === 'split') share[way] = Number(range.value) / 100; stage.draw(); },
  });
  const rangeLabel = h('label', { for: id });
  const slide = h('div', { class: 'field wide' }, rangeLabel, range);
  const flick = button('Flick', () => turn(way === 'reference' ? 'painting' : 'reference'), { name: 'Flick between painting and reference' });
  const hint = h('p', { class: 'hint' });
  const waits = h('p', { class: 'hint' }, 'There is no reference to hold it against.');
  const element = h('div', { class: 'stack' }, ways.element, row(flick), slide, hint, waits);

  const edge = new Handles(stage, {
    points: [{ name: 'The edge between painting and reference', look: 'seam upright' }],
    step: () => 1,
    hold: (_, [at]) => { if (at) share.split = Math.min(Math.max(at[0] / stage.size[0], 0), 1); stage.draw(); },
    done: () => stage.draw(),
    cancel: () => stage.draw(),
  });

  /** @param {Way} wanted */
  function turn(wanted) {
    way = wanted;
    ways.set(way);
    fill();
    stage.draw();
  }

  /** @type {CheckView | null} */
  let check = null;
  function fill() {
    const lacks = !painting.state.photo;
    waits.hidden = !lacks;
    ways.element.hidden = flick.hidden = lacks;
    slide.hidden = lacks || (way !== 'fade' && way !== 'split');
    rangeLabel.textContent = way === 'fade' ? 'How much of the painting' : 'Where the edge runs';
    hint.textContent = HINTS[way];
    // What cannot be shown is not offered.
    const values = ways.element.querySelector('input[value="values"]');
    if (values?.parentElement) values.parentElement.hidden = !check?.difference;
  }

  let isOpen = false;
  /** What the pictures on the canvas show at present. */
  let shown = '';
  const clip = freshId('clip');
  return {
    element,
    /** @param {CheckView} one */
    show(one) {
      check = one;
      if (way === 'values' && !one.difference) way = 'painting';
      fill();
    },
    open() {
      isOpen = true;
      shown = '';
    },
    close() {
      isOpen = false;
      edge.show(false);
    },
    /** Lays the pictures on the canvas. @param {CheckView} one */
    draw(one) {
      if (!isOpen) return;
      if (way === 'fade' || way === 'split') range.value = String(Math.round(100 * share[way]));
      edge.show(way === 'split');
      const [width, height] = stage.size;
      if (way === 'split') edge.lay([[share.split * width, height * 0.94]]);
      const { bounds: [x, y, across, down] } = one;
      const state = JSON.stringify([way, way === 'fade' ? share.fade : 0, way === 'split' ? share.split : 0, one.picture, one.difference]);
      if (state === shown) return;
      shown = state;
      const picture = squaredUp(one);
      if (way === 'fade') picture.setAttribute('opacity', String(share.fade));
      if (way === 'split') picture.setAttribute('clip-path', `url(#${clip})`);
      const difference = way === 'values' && one.difference
        ? s('image', { href: one.difference, x, y, width: across, height: down, preserveAspectRatio: 'none' }) : null;
      stage.checked.replaceChildren(
        s('clipPath', { id: clip }, s('rect', { x, y, width: Math.max(share.split * width - x, 0), height: down })),
        ...(way === 'reference' ? [] : [difference ?? picture]));
    },
    /** The edge of a split. */
    lines() {
      if (way !== 'split') return [];
      const at = share.split * stage.size[0];
      return twinLines([[at, 0, at, stage.size[1]]], { px: stage.px, width: 1.5 });
    },
  };
}
