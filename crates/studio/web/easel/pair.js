// Brings the code that lets this screen in: the one in the address, which a QR code led to, or one that is typed.

import * as server from '../server.js';
import { byId, setText } from '../parts/dom.js';
import { keep } from '../sight.js';

const field = /** @type {HTMLInputElement} */ (byId('code'));
byId('form').addEventListener('submit', (event) => {
  event.preventDefault();
  void bring();
});

async function bring() {
  setText(byId('trouble'), '');
  try {
    const { easel, screen } = await server.pair(field.value);
    keep('number on the computer', screen);
    location.replace(easel);
  } catch (error) {
    if (!(error instanceof server.Refusal)) throw error;
    setText(byId('trouble'), error.message);
    field.focus();
  }
}

if (location.hash.length > 1) {
  field.value = decodeURIComponent(location.hash.slice(1));
  // A code in the history would be of no use any more, but need not stand there.
  history.replaceState(null, '', location.pathname);
  void bring();
}
