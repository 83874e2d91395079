// What holds for every page on every screen: no violation that axe-core can find, and everything in its place.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';

const AXE = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
/** WCAG 2.2, levels A and AA. */
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** No violation of these rules, or of all. */
export async function assertAccessible(page, what, runOnly = { type: 'tag', values: RULES }) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.addScriptTag({ path: AXE });
  // Only what is wrong is brought over from the page: all that is right takes as long as to find it.
  const violations = await page.evaluate(async (only) => {
    const found = await window.axe.run(document, { runOnly: only, resultTypes: ['violations'] });
    return found.violations;
  }, runOnly);
  const told = violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html, failureSummary }) => `${html} ${failureSummary}`).join('\n')}`);
  assert.deepEqual(told, [], what);
}

/** In a dim room only the colours are others, and no screen has colours of its own: the widest and the narrowest are looked at. */
const LOOKED_AT_DIM = ['laptop', 'phone'];

/** By day, and on some screens in a dim room: accessible, in its place, and a picture of each at `picture`. */
export async function assertLooks(page, screen, name, picture) {
  const what = `${screen} ${name}`;
  await page.screenshot({ path: `${picture}.png` });
  await assertAccessible(page, what);
  await assertInPlace(page, name);
  if (!LOOKED_AT_DIM.includes(screen)) return;
  await page.emulateMedia({ colorScheme: 'dark' });
  await page.evaluate(() => Promise.all(document.getAnimations().map((animation) => animation.finished)));
  await page.screenshot({ path: `${picture}-dim.png` });
  await assertAccessible(page, `${what}, in a dim room`, { type: 'rule', values: ['color-contrast'] });
  await page.emulateMedia({ colorScheme: 'light' });
}

/** No page is wider than the screen, none that fills it is taller, no control is outside its column, and none that can be touched is under 24 px. */
export async function assertInPlace(page, what) {
  const wrong = await page.evaluate(() => {
    const found = [];
    if (document.documentElement.scrollWidth > innerWidth) found.push(`the page is ${document.documentElement.scrollWidth} px wide`);
    const fills = getComputedStyle(document.body).overflowY === 'hidden';
    if (fills && document.documentElement.scrollHeight > innerHeight) found.push(`the page is ${document.documentElement.scrollHeight} px high`);
    for (const element of document.querySelectorAll('button, a[href], input, select')) {
      const { width, height, left, right } = element.getBoundingClientRect();
      if (!width || element.closest('[hidden], .unseen') || element.classList.contains('unseen')) continue;
      const label = element.getAttribute('aria-label') ?? element.textContent ?? element.id;
      const target = element.closest('label')?.getBoundingClientRect() ?? { width, height };
      if (Math.min(target.width, target.height) < 24 && !element.closest('p, h2')) found.push(`“${label}” is ${Math.round(width)} x ${Math.round(height)} px`);
      if (left < -1 || right > innerWidth + 1) found.push(`“${label}” is cut off`);
    }
    return found;
  });
  assert.deepEqual(wrong, [], what);
}
