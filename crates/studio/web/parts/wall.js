// Steps the wall's grey in Munsell values, N2 to N9: with the values of one's own palette in mind, and dark enough for
// a dim room. From N4 down the notebook's paper is dark as well.

import { button } from './controls.js';
import { h, setText } from './dom.js';
import { keep } from '../sight.js';

const [DARKEST, LIGHTEST] = [2, 9];

export function wallControl() {
  const value = () => Number(document.documentElement.dataset.wall);
  const name = h('span', { role: 'status' });
  /** @param {number} by */
  const step = (by) => {
    keep('wall', Math.min(Math.max(value() + by, DARKEST), LIGHTEST));
    dispatchEvent(new Event('wall'));
    show();
  };
  const [darker, lighter] = [button('darker', () => step(-1), { name: 'A darker wall' }), button('lighter', () => step(1), { name: 'A lighter wall' })];
  const show = () => {
    setText(name, `Wall: value ${value()}`);
    darker.setAttribute('aria-disabled', String(value() === DARKEST));
    lighter.setAttribute('aria-disabled', String(value() === LIGHTEST));
  };
  show();
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => setTimeout(show));
  return h('div', { class: 'wall-control', role: 'group', 'aria-label': 'The wall’s value' }, name, darker, lighter);
}
