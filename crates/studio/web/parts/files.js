// Files that come in: chosen, taken with the camera, dropped anywhere on the page, or pasted.

import { h } from './dom.js';

/** What the name of a painting file ends with. */
export const PAINTING_ENDING = '.mahlstick';

/** @param {File} file */
export const isPainting = (file) => file.name.toLowerCase().endsWith(PAINTING_ENDING);

/**
 * A button that lets a file be chosen, or the tablet's camera take one.
 * @param {string} label
 * @param {string} accept
 * @param {(files: File[]) => void} take
 * @param {'environment'} [capture]
 */
export function fileButton(label, accept, take, capture) {
  const input = h('input', {
    type: 'file', accept, capture, class: 'unseen', tabindex: '-1', 'aria-hidden': 'true',
    onchange: () => {
      take([...(input.files ?? [])]);
      input.value = '';
    },
  });
  const press = h('button', { type: 'button', class: 'plain', onclick: () => input.click() }, label);
  return {
    element: h('span', { class: 'file' }, press, input),
    /** @param {string} text */
    setLabel(text) { if (press.textContent !== text) press.textContent = text; },
    /** @param {'plain' | 'next' | 'quiet'} kind */
    setKind(kind) { press.className = kind; },
  };
}

/**
 * Takes files that are dropped anywhere on the page, or pasted.
 * @param {(files: File[]) => void} take
 */
export function takeDropped(take) {
  const holds = (/** @type {DragEvent} */ event) => event.dataTransfer?.types.includes('Files') ?? false;
  let depth = 0;
  const over = (/** @type {number} */ change) => {
    depth = Math.max(0, depth + change);
    document.documentElement.classList.toggle('drop', depth > 0);
  };
  addEventListener('dragenter', (event) => holds(event) && over(1));
  addEventListener('dragleave', (event) => holds(event) && over(-1));
  addEventListener('dragover', (event) => holds(event) && event.preventDefault());
  addEventListener('drop', (event) => {
    if (!holds(event)) return;
    event.preventDefault();
    over(-depth);
    take([...(event.dataTransfer?.files ?? [])]);
  });
  addEventListener('paste', (event) => {
    const files = [...(event.clipboardData?.files ?? [])];
    if (!files.length) return;
    event.preventDefault();
    take(files);
  });
}

/** Puts a file with the painter's downloads. @param {string} name @param {Blob} file */
export function handOver(name, file) {
  const address = URL.createObjectURL(file);
  h('a', { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
