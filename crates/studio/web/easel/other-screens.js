// Other screens in the house: opens and shuts the door for them, makes the code that lets one in, shows who is let in, and
// sends them away. Shown only on the computer that the studio runs on.

import * as server from '../server.js';
import { button, troubleLine } from '../parts/controls.js';
import { h, setText } from '../parts/dom.js';

/** @import { PairingCode, SecondScreens } from '../api.js' */

/** How often it is looked whether a screen has come in, while the leaf is open, in ms. */
const LOOK_EVERY = 2000;

const CAUTION = 'Only on a home network that you trust: what is sent there is not encrypted. A screen that is let in can look and change nothing. It is let in again whenever the door is open, for half a year or until you send it away.';
const GONE = 'The code no longer holds. Make another if a screen is to come in.';
const SHUT = 'The studio is open to this computer alone. Open the door for a tablet beside the canvas.';

/** When, with the day if it is not today. @param {Date} since */
function moment(since) {
  const time = since.toLocaleTimeString([], { hour: 'numeric', minute: '2-digit' });
  const today = since.toDateString() === new Date().toDateString();
  return today ? `at ${time}` : `on ${since.toLocaleDateString([], { day: 'numeric', month: 'long' })} at ${time}`;
}

/** @param {string} painting @param {() => void} done */
export function otherScreens(painting, done) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let looking;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let running;
  /** The number of the code that is shown and that nobody has used yet, as far as is known; 0 if there is none. */
  let offered = 0;
  const standing = h('p');
  const trouble = troubleLine();
  /** Why the latest look failed; apart from what the painter asked for, whose trouble stays until she tries again. */
  const unseen = troubleLine();
  const way = h('div', { class: 'way' });
  const letIn = h('ul', { class: 'let-in', 'aria-label': 'Screens that were let in' });
  const make = button('Make a code', () => trouble.act(server.pairingCode(painting).then(showCode)), { kind: 'next' });
  const openPress = button('Open the door', () => trouble.act(server.openDoor(true).then(show)), { kind: 'next' });
  const shutPress = button('Shut the door', () => trouble.act(server.openDoor(false).then((now) => { forgetCode(); show(now); openPress.focus(); })), { kind: 'plain' });
  // Until it is known whether the door is open.
  for (const press of [make, openPress, shutPress]) press.hidden = true;
  const element = h('section', { class: 'leaf', 'aria-labelledby': 'others-title', hidden: true },
    h('h2', { id: 'others-title', tabindex: -1 }, 'Another screen in the house'),
    standing, h('p', { class: 'hint' }, CAUTION), way, trouble.element, unseen.element, letIn,
    h('div', { class: 'row' }, openPress, make, shutPress, button('Back to the picture', close, { kind: 'quiet' })));

  /** @param {SecondScreens} now */
  function show({ addresses, screens, code, not_kept }) {
    make.hidden = shutPress.hidden = !addresses.length;
    openPress.hidden = addresses.length > 0;
    setText(standing, addresses.length ? 'Make a code, and point the tablet’s camera at it, or type the address and the code there.' : SHUT);
    setText(unseen.element, not_kept ?? '');
    const by = screens.find((screen) => screen.by_code === offered);
    if (offered && code !== offered) {
      forgetCode();
      say(by ? `The code was used: screen ${by.id} shows the picture.` : GONE);
    }
    // Redrawn only when it has changed, so that a button about to be pressed stays where it is.
    const key = JSON.stringify(screens);
    if (letIn.dataset.key === key) return;
    letIn.dataset.key = key;
    letIn.replaceChildren(...screens.map(({ id, since, paintings }) => h('li', {},
      h('span', {}, `Screen ${id}, let in ${moment(new Date(since))}: ${paintings.map((title) => `“${title || 'Untitled'}”`).join(', ') || 'no painting'}`),
      button('Send away', () => trouble.act(server.sendAway(id).then(show)), { kind: 'quiet', name: `Send away screen ${id}` }))));
  }

  /** @param {PairingCode} made */
  function showCode({ code, number, seconds, ways }) {
    offered = number;
    const spaced = `${code.slice(0, 4)} ${code.slice(4)}`;
    way.replaceChildren(
      ...ways.flatMap(({ address, qr }) => [
        h('img', { src: `data:image/svg+xml,${encodeURIComponent(qr)}`, alt: `QR code for ${address}` }),
        h('p', { class: 'address' }, address)]),
      h('p', { class: 'code' }, spaced),
      h('p', { class: 'hint', role: 'status' }, `It lets one screen in, within ${Math.round(seconds / 60)} minutes.`));
    setText(make, 'Make another code');
    clearTimeout(running);
    running = setTimeout(() => {
      forgetCode();
      say(GONE);
    }, seconds * 1000);
  }

  /** What came of the code, in its place. @param {string} what */
  function say(what) {
    way.replaceChildren(h('p', { class: 'hint', role: 'status' }, what));
  }

  function forgetCode() {
    offered = 0;
    clearTimeout(running);
    way.replaceChildren();
    setText(make, 'Make a code');
  }

  /** Looks, and again some time after the answer. Says only what is new, so that it is read out once. */
  async function look() {
    const before = offered;
    try {
      const now = await server.secondScreens();
      // What was asked before the code was made says nothing of it.
      if (before === offered) show(now);
    } catch (error) {
      if (!(error instanceof server.Refusal)) throw error;
      setText(unseen.element, error.message);
    }
    clearTimeout(looking);
    if (!element.hidden) looking = setTimeout(() => void look(), LOOK_EVERY);
  }

  function close() {
    clearTimeout(looking);
    forgetCode();
    element.hidden = true;
    done();
  }

  return {
    element,
    open() {
      element.hidden = false;
      void look();
      element.querySelector('h2')?.focus();
    },
  };
}
