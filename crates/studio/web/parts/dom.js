// Makes elements, and changes their text only where it differs.

/** @typedef {Node | string | null | undefined | false} Child */
/** @typedef {Record<string, string | number | boolean | null | undefined | ((event: any) => void)>} Attributes */

const SVG = 'http://www.w3.org/2000/svg';

/**
 * An HTML element. Attributes named `onclick`, `oninput`, … are listened to; a boolean is set or left out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function h(tag, attributes = {}, ...children) {
  return dress(document.createElement(tag), attributes, children);
}

/**
 * An SVG element, dressed as by {@link h}.
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function s(tag, attributes = {}, ...children) {
  return dress(document.createElementNS(SVG, tag), attributes, children);
}

/**
 * The element of that id, which the page's HTML must have.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`The page lacks #${id}.`);
  return element;
}

/** @param {Element} element @param {string} text */
export function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

let count = 0;
/** An id that no other element has. @param {string} stem */
export const freshId = (stem) => `${stem}-${(count += 1)}`;

/**
 * @template {Element} E
 * @param {E} element
 * @param {Attributes} attributes
 * @param {Child[]} children
 */
function dress(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'function') element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, '');
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, String(value));
  }
  element.append(...children.filter((child) => child instanceof Node || typeof child === 'string'));
  return element;
}
