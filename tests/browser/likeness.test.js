// Landmarks, measures and proportions in the page: placed by tap and by keys, plotted, kept.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { CAST, newPage, newPainting, openLine, says, startBrowser, startStudio } from './studio.js';

let studio, browser, context, page;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
  context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  page = await newPage(context, studio);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test('landmarks are placed by a tap and by keys, and each is plotted by its box', async () => {
  await newPainting(page, studio, CAST);
  await openLine(page, 'Likeness');
  const hung = await page.locator('.hung').boundingBox();
  const tap = (across, down) => page.mouse.click(hung.x + hung.width * across, hung.y + hung.height * down);
  const list = page.getByLabel('Landmark in hand', { exact: true });
  for (const [name, across, down] of [['crown', 0.5, 0.16], ['chin', 0.48, 0.6]]) {
    await list.selectOption(name);
    await tap(across, down);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
  }
  await says(page, 'Likeness', /^2 landmarks, no measures/);
  assert.match(await page.locator('.plots').innerText(), /crown\s+[A-D][1-4]/);
  // The next is expected where proportion has it, and is placed there by one press.
  await list.selectOption('tip of the nose');
  await page.getByText('The tip of the nose is expected where the open mark is.').waitFor();
  await page.getByRole('button', { name: 'Place it there' }).press('Enter');
  await says(page, 'Likeness', /^3 landmarks/);
  await list.selectOption('tip of the nose');
  const before = await page.locator('.plots').innerText();
  await page.getByRole('button', { name: /^tip of the nose, placed/ }).press('Shift+ArrowDown');
  await page.waitForFunction((text) => document.querySelector('.plots').innerText !== text, before);
  assert.deepEqual(page.faults, []);
});

test('a measure is taken, becomes the unit, and is kept', async () => {
  await page.getByRole('radio', { name: 'Measures' }).check();
  await page.getByLabel('What it is').fill('Width of an eye');
  await page.getByLabel('What it is').press('Tab');
  await page.getByRole('button', { name: 'Take a measure', exact: true }).click();
  await page.locator('.kept').getByText('Width of an eye').waitFor();
  await page.getByRole('button', { name: 'Take a measure', exact: true }).click();
  await page.locator('.kept').getByText('Measure 1').waitFor();
  await page.getByRole('button', { name: 'State the others in terms of Width of an eye' }).click();
  await page.getByText('1.00 times Width of an eye').waitFor();
  await says(page, 'Likeness', /2 measures$/);
  await page.getByRole('radio', { name: 'Proportions' }).check();
  await page.getByText(/^The camera stood about/).waitFor();
  assert.deepEqual(page.faults, []);
});
