// Every line on every screen: no violation that axe-core can find, by day and in a dim room; nothing that overflows or
// shifts; and a picture of each in out/screens.

import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { CAST, OUT, SCREENS, STEPS, fill, markHead, newPage, newPainting, openLine, press, saved, startBrowser, startStudio } from './studio.js';
import { assertAccessible, assertLooks } from './looks.js';

/** The wall's Munsell values. */
const [DARKEST, LIGHTEST] = [2, 9];
let studio;
let browser;
let painting;
before(async () => {
  studio = await startStudio();
  browser = await startBrowser();
  await mkdir(join(OUT, 'screens'), { recursive: true });
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await page.getByLabel('Title of the painting').fill('The harbour pilot');
  await page.getByLabel('Title of the painting').press('Enter');
  await openLine(page, 'Placing');
  await markHead(page);
  await fill(page, 'Head', '8');
  await openLine(page, 'Grid');
  await press(page, 'Add a detail box');
  await saved(page);
  painting = page.url().replace(/#.*/, '');
  await context.close();
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

for (const [screen, viewport] of Object.entries(SCREENS)) {
  test(`every line is accessible and in its place on a ${screen} screen`, async () => {
    const context = await browser.newContext({ viewport, hasTouch: screen !== 'laptop', bypassCSP: true });
    const page = await newPage(context, studio);
    const look = (name) => assertLooks(page, screen, name, join(OUT, 'screens', `${screen}-${name}`));
    await page.goto(studio.address);
    await page.locator('.hung-canvas img').first().waitFor();
    await look('shelf');
    await page.goto(painting);
    await page.locator('html.laid').waitFor();
    await look('notebook');
    for (const step of STEPS) {
      await openLine(page, step);
      if (step === 'Print') await page.locator('.sheets li').first().waitFor();
      await look(step.toLowerCase());
      if (step === 'Likeness') await lookAtLikeness(page, look);
    }
    await openLine(page, 'Reference');
    for (const inset of ['Straighten by a line', 'Square up a photographed print']) {
      await press(page, inset);
      await look(inset.split(' ')[0].toLowerCase());
    }
    assert.deepEqual(page.faults, []);
    await context.close();
  });
}

/** Every part of the line Likeness. */
async function lookAtLikeness(page, look) {
  for (const part of ['Measures', 'Proportions', 'Values', 'Dividers']) {
    await page.getByRole('radio', { name: part }).check();
    if (part === 'Values') await page.locator('.toned:not([hidden]) image').waitFor({ state: 'attached' });
    await look(part.toLowerCase());
  }
}

test('every grey of the wall leaves its words readable', async () => {
  const context = await browser.newContext({ bypassCSP: true });
  const page = await newPage(context, studio);
  await page.goto(painting);
  await page.locator('html.laid').waitFor();
  const value = () => page.evaluate(() => Number(document.documentElement.dataset.wall));
  while ((await value()) < LIGHTEST) await page.getByRole('button', { name: 'A lighter wall' }).click();
  for (let wanted = LIGHTEST; wanted >= DARKEST; wanted -= 1) {
    assert.equal(await value(), wanted);
    await assertAccessible(page, `wall N${wanted}`);
    if (wanted > DARKEST) await page.getByRole('button', { name: 'A darker wall' }).click();
  }
  assert.equal(await page.getByRole('button', { name: 'A darker wall' }).getAttribute('aria-disabled'), 'true');
  await context.close();
});

test('the server’s apostrophes are set as the page’s own are', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await page.goto(painting);
  const set = await page.evaluate(async () => {
    const { apostrophes } = await import('/web/parts/apostrophes.js');
    return ["the canvas's top", "the canvas' top", "at arm's length, o'clock", "5' 6''", "'quoted' words"].map(apostrophes);
  });
  assert.deepEqual(set, ['the canvas’s top', 'the canvas’ top', 'at arm’s length, o’clock', "5' 6''", "'quoted' words"]);
  // So are those of a sentence with which the server refuses.
  const refusal = await page.evaluate(async () => {
    const { Refusal } = await import('/web/server.js');
    return new Refusal({ message: "The photo's end is missing.", state: null }, 422).message;
  });
  assert.equal(refusal, 'The photo’s end is missing.');
  await context.close();
});

test('nothing shifts on the page while lines are opened and things are typed', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await page.addInitScript(() => {
    window.shifts = [];
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifts.push(entry.value);
    }).observe({ type: 'layout-shift', buffered: true });
  });
  await page.goto(painting);
  await page.locator('html.laid').waitFor();
  for (const step of STEPS) {
    await openLine(page, step);
    await page.waitForTimeout(700);
  }
  const shifted = await page.evaluate(() => window.shifts.reduce((sum, value) => sum + value, 0));
  assert.ok(shifted < 0.01, `the page shifted by ${shifted}`);
  await context.close();
});
