// The door for screens in the house, on the shelf: opened and shut there once a screen is known, which is all that is to be done in the
// morning.

import * as server from '../server.js';
import { button, troubleLine } from './controls.js';
import { h, setText } from './dom.js';

/** @import { SecondScreens } from '../api.js' */

export function doorControl() {
  let isOpen = false;
  const trouble = troubleLine();
  const says = h('span', { role: 'status' });
  const press = button('', () => trouble.act(server.openDoor(!isOpen).then(show)), { kind: 'quiet' });
  const element = h('div', { class: 'door-control', hidden: true }, says, press, trouble.element);

  /** @param {SecondScreens} now */
  function show({ addresses, screens, not_kept }) {
    isOpen = addresses.length > 0;
    element.hidden = !screens.length && !isOpen;
    const known = ['No screen in the house is known yet', 'A screen in the house is known'][screens.length] ?? `${screens.length} screens in the house are known`;
    setText(says, `${known}; the door is ${isOpen ? 'open' : 'shut'}. ${not_kept ?? ''}`);
    setText(press, isOpen ? 'Shut the door' : 'Open the door');
  }

  return {
    element,
    look: () => server.secondScreens().then(show, (error) => {
      if (!(error instanceof server.Refusal)) throw error;
      // The shelf itself says why nothing can be had.
      element.hidden = true;
    }),
  };
}
