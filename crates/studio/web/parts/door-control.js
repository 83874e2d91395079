// The door for screens in the house, on the shelf: opened and shut there once a screen is known, which is all that is to be done in the
// morning.

import * as server from '../server.js';
import { button } from './controls.js';
import { h, setText } from './dom.js';

/** @import { SecondScreens } from '../api.js' */

/** @param {(run: () => Promise<unknown>) => Promise<void>} act runs something and says why it cannot be */
export function doorControl(act) {
  let isOpen = false;
  const says = h('span', { role: 'status' });
  const press = button('', () => void act(async () => show(await server.openDoor(!isOpen))), { kind: 'quiet' });
  const element = h('div', { class: 'door-control', hidden: true }, says, press);

  /** @param {SecondScreens} now */
  function show({ addresses, screens }) {
    isOpen = addresses.length > 0;
    element.hidden = !screens.length && !isOpen;
    const known = screens.length === 1 ? 'A screen in the house is known' : `${screens.length} screens in the house are known`;
    setText(says, isOpen ? `${known}, and the door is open.` : `${known}; the door is shut.`);
    setText(press, isOpen ? 'Shut the door' : 'Open the door');
  }

  return { element, look: async () => show(await server.secondScreens()) };
}
