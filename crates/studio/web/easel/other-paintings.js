// The other paintings that a screen in the house may see, as ways to them.

import * as server from '../server.js';
import { h } from '../parts/dom.js';

/** On the studio's own computer the shelf has them. @param {string} shown */
export function otherPaintings(shown) {
  const element = h('span', { class: 'row', role: 'group', 'aria-label': 'Other paintings', hidden: true });
  return {
    element,
    async again() {
      if (server.isHere) return;
      const { paintings } = await server.shown().catch((error) => {
        // What cannot be asked now can be asked when this is opened again.
        if (error instanceof server.Refusal) return { paintings: [] };
        throw error;
      });
      const others = paintings.filter((painting) => painting.id !== shown);
      element.hidden = !others.length;
      element.replaceChildren(...others.map((painting) => h('a', { href: `/easel/${encodeURIComponent(painting.id)}` }, `To “${painting.title || 'Untitled'}”`)));
    },
  };
}
