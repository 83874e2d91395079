// The easel page for its tests: a studio with a painting, the page on a screen of any kind, the worktable's edits, and what is seen.

import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import { CAST, OUT, SCREENS, newPage, newPainting, startBrowser, startStudio } from './studio.js';

/** A bank card's longer side in mm: ID-1 of ISO/IEC 7810. */
export const CARD = 85.6;
/** A new canvas is 16 x 20 in, in quarters: a box is so wide, in mm. */
export const BOX = (16 * 25.4) / 4;

/** A studio that second screens may come into, with a painting of the cast and one without a photo: the grid alone, on a ground without a dark place. */
export async function startEasel() {
  const own = Object.values(networkInterfaces()).flat().find(({ family, internal }) => family === 'IPv4' && !internal);
  assert.ok(own, 'This computer has no address on a network, so that no second screen can be tried.');
  const [studio, browser] = await Promise.all([startStudio(undefined, [`--lan=${own.address}`]), startBrowser()]);
  await mkdir(join(OUT, 'screens'), { recursive: true });
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  const asEasel = () => page.url().replace('/painting/', '/easel/').replace(/#.*/, '');
  await newPainting(page, studio);
  const gridAlone = asEasel();
  await newPainting(page, studio, CAST);
  const address = asEasel();
  const ofPainting = address.replace('/easel/', '/api/paintings/');
  await context.close();

  /** The painting's state, as the server tells it. */
  const state = async () => (await fetch(ofPainting)).json();
  const { view } = await state();
  assert.deepEqual([view.canvas.size, view.grid.parts], ['16 x 20 in', [4, 4]]);
  return {
    studio, browser, address, gridAlone, state,

    /** The easel page on a screen of its own. */
    async onScreen(options, at = address) {
      const screen = await browser.newContext({ viewport: SCREENS.laptop, bypassCSP: true, ...options });
      const shown = await newPage(screen, studio);
      await shown.goto(at);
      await shown.locator('html.laid').waitFor();
      return shown;
    },

    /** Makes an edit as the worktable would. */
    async edit(made) {
      const { revision } = await state();
      const answer = await fetch(`${ofPainting}/edits`, {
        method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ revision, gesture: null, edit: made }),
      });
      assert.equal(answer.status, 200, await answer.clone().text());
      return answer.json();
    },

    async clear() {
      await browser.close();
      await studio.clear();
    },
  };
}

/** Measures the screen as a painter would whose card covers so many CSS pixels; gives those in a millimetre. */
export async function measure(page, cardPixels) {
  await page.getByLabel('Size of the frame').evaluate((slider, value) => {
    slider.value = String(value);
    slider.dispatchEvent(new Event('input', { bubbles: true }));
  }, cardPixels / CARD);
  const frame = await page.locator('.thing rect').evaluate((rect) => Math.max(rect.getBoundingClientRect().width, rect.getBoundingClientRect().height));
  await page.getByRole('button', { name: 'This is its size' }).click();
  return frame / CARD;
}

/** Opens the whole ledge, or no more than its first rows. */
export const openLedge = (page, how = 'More') => page.getByRole('button', { name: how, exact: true }).click();

/** The part of the canvas that is seen, in mm: left, top, width, height. */
export const windowOf = (page) => page.locator('.board').evaluate((board) => board.getAttribute('viewBox').split(' ').map(Number));

/** The tone that the picture is shown in: `photo`, or what stands in the address that it was asked for by. */
export const toneOf = (page) => page.locator('.board .toned').evaluate((image) => (image.hasAttribute('hidden') ? 'photo' : image.getAttribute('data-of').split(' ').slice(1).join(' ')));

/** Waits until the picture is shown in a tone. */
export const shownIn = (page, tone) => page.waitForFunction((wanted) => {
  const image = document.querySelector('.board .toned');
  return wanted === 'photo' ? image.hasAttribute('hidden') : !image.hasAttribute('hidden') && image.getAttribute('data-of').includes(wanted);
}, tone);
