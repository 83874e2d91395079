// The foot of the notebook: one button that makes the packet and hands over the PDF.

import { Refusal } from './server.js';
import { byId, setText } from './parts/dom.js';
import { handOver } from './parts/files.js';

/** @import { View } from './api.js' */
/** @import { Painting } from './painting.js' */

/**
 * @param {Painting} painting
 * @param {{ asked: () => string, packet: (signal: AbortSignal) => Promise<{ name: string, pdf: Blob }> }} printing
 */
export function packetButton(painting, printing) {
  const press = byId('packet');
  const remark = byId('packet-remark');
  /** Set while the packet is being made. @type {AbortController | null} */
  let making = null;
  /** Of what the last packet was made: of another one its name is not told. */
  let madeOf = '';

  press.addEventListener('click', () => {
    if (making) making.abort();
    else if (painting.state.photo) void run();
  });

  painting.addEventListener('working', (event) => {
    if (making) setText(remark, /** @type {CustomEvent<string>} */ (event).detail);
  });

  async function run() {
    making = new AbortController();
    madeOf = printing.asked();
    setText(press, 'Stop');
    setText(remark, 'Drawing the packet.');
    try {
      const { name, pdf } = await printing.packet(making.signal);
      handOver(name, pdf);
      setText(remark, `${name} is with your downloads. Print it at actual size.`);
    } catch (error) {
      const stopped = error instanceof DOMException && error.name === 'AbortError';
      if (!stopped && !(error instanceof Refusal)) throw error;
      setText(remark, stopped ? 'Stopped.' : error.message);
    } finally {
      making = null;
      setText(press, 'Make the packet');
    }
  }

  return {
    /** @param {View} view */
    update(view) {
      const waits = !painting.state.photo;
      press.setAttribute('aria-disabled', String(waits));
      press.classList.toggle('next', !waits && view.notebook.every(({ state }) => state !== 'needed'));
      const now = waits ? 'The packet waits for the photo.' : 'All sheets in one PDF.';
      if (!making && (waits || printing.asked() !== madeOf)) setText(remark, now);
    },
  };
}
