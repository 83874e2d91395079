// Sets the wall's grey before anything is painted: the Munsell value the painter chose in this browser, or N7 by day
// and N4 in a dim room. A plain script, so that it runs before the first paint.
(() => {
  /** The 8-bit sRGB greys of Munsell N2 to N9 (ASTM D1535). @type {Record<number, number>} */
  const GREYS = { 2: 49, 3: 72, 4: 96, 5: 121, 6: 147, 7: 173, 8: 200, 9: 227 };
  const dim = matchMedia('(prefers-color-scheme: dark)');
  const set = () => {
    let chosen = NaN;
    try {
      chosen = Number(localStorage.getItem('mahlstick wall') ?? NaN);
    } catch {
      // A browser that keeps nothing has the usual wall.
    }
    const value = GREYS[chosen] ? chosen : dim.matches ? 4 : 7;
    const grey = GREYS[value];
    const { dataset, style } = document.documentElement;
    dataset.wall = String(value);
    dataset.room = value <= 4 ? 'dim' : 'day';
    style.setProperty('--wall', `rgb(${grey} ${grey} ${grey})`);
  };
  set();
  dim.addEventListener('change', set);
  addEventListener('storage', set);
  addEventListener('wall', set);
})();
