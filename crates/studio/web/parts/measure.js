// Sets sentences in type, and the measurements in them: fractions as fractions, a number never parted from its unit, × between width and height.

import { apostrophes } from './apostrophes.js';
import { h } from './dom.js';

const NUMBER = String.raw`-?(?:\d+ \d+\/\d+|\d+\/\d+|\d+(?:\.\d+)?)`;
const MEASURE = new RegExp(`${NUMBER}(?:(?: x | × )${NUMBER})?(?: (?:in|cm|mm)\\b)?`, 'g');
const FRACTION = /(\d+) (?=\d+\/\d+)|(\d+\/\d+)/g;

/**
 * Fills an element with a sentence and sets the measurements in it. Does nothing when the sentence stands there already.
 * @param {Element} element
 * @param {string} sentence
 */
export function setSentence(element, sentence) {
  if (element.getAttribute('data-sentence') === sentence) return;
  element.setAttribute('data-sentence', sentence);
  element.replaceChildren(...sentenceParts(sentence));
}

/** @param {string} told @returns {(Node | string)[]} */
export function sentenceParts(told) {
  const sentence = apostrophes(told);
  const parts = [];
  let end = 0;
  for (const match of sentence.matchAll(MEASURE)) {
    if (!/[ /]/.test(match[0])) continue;
    parts.push(sentence.slice(end, match.index), measure(match[0]));
    end = match.index + match[0].length;
  }
  return [...parts, sentence.slice(end)];
}

/**
 * A measurement set in type.
 * @param {string} text `2 15/16 in`, `16 x 20 in`, `30.3 cm`
 */
export function measure(text) {
  const span = h('span', { class: 'measure' });
  const set = text.replace(' x ', ' × ').replace(/^-/, '−');
  let end = 0;
  for (const match of set.matchAll(FRACTION)) {
    span.append(set.slice(end, match.index));
    if (match[1]) span.append(match[1], h('span', { class: 'thin' }, ' '));
    else span.append(h('span', { class: 'fraction' }, match[0]));
    end = match.index + match[0].length;
  }
  span.append(set.slice(end));
  return span;
}

/**
 * The number of a measurement and its unit.
 * @param {string} text `2 15/16 in`
 * @returns {[number: string, unit: string]}
 */
export function parted(text) {
  const match = /^(.*?) ?(in|cm|mm)$/.exec(text);
  return match ? [match[1] ?? '', match[2] ?? ''] : [text, ''];
}

/**
 * A length or a pair of lengths as typed, in `unit` if no unit was typed.
 * @param {string} text
 * @param {string} unit
 */
export const withUnit = (text, unit) => (/[a-z"″”']\s*$/i.test(text.trim()) ? text.trim() : `${text.trim()} ${unit}`);

/** @type {Record<import('../api.js').Unit, string>} */
export const UNIT_SIGN = { inch: 'in', centimetre: 'cm', millimetre: 'mm' };

/** How far an arrow key moves what is held, in mm. @param {import('../api.js').Unit} unit */
export const arrowStep = (unit) => (unit === 'inch' ? 25.4 / 16 : 1);
