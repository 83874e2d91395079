// How large this screen's pixels are: measured once by the painter, kept on this device, and true only as long as screen
// and zoom are the same. A browser does not know the real size of its screen: a CSS millimetre is one by name only (CSS
// Values and Units 3, absolute lengths). `devicePixelRatio` tells the page's zoom and the system's scaling, but not a
// pinch, which `visualViewport.scale` tells (CSSOM View).

import { keep, recall } from '../sight.js';

/**
 * A screen as it was measured.
 * @typedef {object} Measured
 * @property {number} perMm CSS pixels in a real millimetre
 * @property {number} error the largest error to expect of a length, as a share of it
 */

/** CSS pixels in a millimetre where nothing has been measured (CSS Values and Units 3: 96 to the inch). */
export const UNMEASURED = 96 / 25.4;

/** The same for screens of two pixels or more to the CSS pixel, which are looked at from nearer (common practice, no source). */
const UNMEASURED_DENSE = 140 / 25.4;

/** The least density there can be, in CSS pixels in a millimetre: a wall screen's. */
export const COARSEST = 1.5;

/** The greatest: a telephone's, zoomed out. */
export const FINEST = 12;

/** What tells one screen at one zoom from another. Turning a tablet on its side changes neither. */
const name = () => `${[screen.width, screen.height].sort((a, b) => a - b).join('x')} at ${devicePixelRatio}`;

/** @returns {Record<string, Measured>} */
const all = () => recall('screens', {});

/** This screen as it was measured; null if it was not, or not at this zoom. @returns {Measured | null} */
export function measured() {
  const found = all()[name()];
  return found && found.perMm >= COARSEST && found.perMm <= FINEST ? found : null;
}

/** Whether some screen was measured on this device, though perhaps not this one at this zoom. */
export const measuredOnce = () => Object.keys(all()).length > 0;

/** @param {Measured} screen_ */
export function keepMeasured(screen_) {
  keep('screens', { ...all(), [name()]: screen_ });
  keep('pixels', screen_.perMm / devicePixelRatio);
}

/** The best guess before measuring: if only the zoom has changed, the pixels themselves are as large as they were. */
export function guess() {
  const usual = devicePixelRatio >= 2 ? UNMEASURED_DENSE : UNMEASURED;
  const perMm = recall('pixels', usual / devicePixelRatio) * devicePixelRatio;
  return perMm >= COARSEST && perMm <= FINEST ? perMm : usual;
}

/** Whether fingers have enlarged the page. */
export const isPinched = () => Math.abs((visualViewport?.scale ?? 1) - 1) > 0.001;

/** Calls back when zoom, screen or pinch may have changed. @param {() => void} changed */
export function whenScreenChanges(changed) {
  addEventListener('resize', changed);
  for (const name of ['resize', 'scroll']) visualViewport?.addEventListener(name, changed);
  const watch = () => {
    matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener('change', () => {
      changed();
      watch();
    }, { once: true });
  };
  watch();
}

/** An error as a painter reads it: `0.3 %, or 0.3 mm in 100 mm (4 in)`. @param {number} error a share */
export function errorText(error) {
  const percent = (Math.ceil(error * 1000) / 10).toFixed(1);
  return `${percent} %, or ${percent} mm in 100 mm (4 in)`;
}
