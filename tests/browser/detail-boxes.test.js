// Detail boxes: they go where the head goes, and are found on the canvas with one ruler.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { CAST, SCREENS, enter, fill, markHead, measureIn, newPage, newPainting, openLine, press, saved, says, startBrowser, startStudio } from './studio.js';

let studio;
let browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** A painting on 30 x 40 cm with a head of 20 cm and a detail box around it. */
async function withBox(context) {
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Canvas');
  await measureIn(page, 'Centimetres');
  await fill(page, 'Width', '30');
  await fill(page, 'Height', '40');
  await openLine(page, 'Placing');
  await markHead(page);
  for (const [label, length] of [['Head', '20'], ['Above', '8'], ['Left', '15']]) await fill(page, label, length);
  await openLine(page, 'Grid');
  await press(page, 'Add a detail box');
  await says(page, 'Grid', /one detail box/);
  for (const [label, length] of [['From the left', '9'], ['From the top', '7'], ['Width', '5'], ['Height', '5']]) await fill(page, label, length);
  return page;
}

/** What the fields of the box in hand say. */
const boxFields = (page) => Promise.all(['From the left', 'From the top', 'Width', 'Height'].map((label) => page.getByLabel(label, { exact: true }).last().inputValue()));

test('a detail box on the head goes where the head goes, and comes back with it in one step', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  // So small a box, and so near the temple, lies within the head.
  await fill(page, 'From the left', '12');
  await fill(page, 'From the top', '14');
  await openLine(page, 'Placing');
  await page.getByText('The detail box on the photo goes along with it.').waitFor();
  assert.ok((await page.locator('.overlay path[stroke-dasharray]').count()) > 0, 'the box is drawn');
  await fill(page, 'Above', '10');
  await openLine(page, 'Grid');
  assert.deepEqual(await boxFields(page), ['12.0', '16.0', '5.0', '5.0']);
  await openLine(page, 'Placing');
  await fill(page, 'Head', '10');
  await openLine(page, 'Grid');
  assert.deepEqual((await boxFields(page)).slice(2), ['2.5', '2.5']);
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: /^Undo/ }).click();
  await saved(page);
  assert.deepEqual(await boxFields(page), ['12.0', '16.0', '5.0', '5.0']);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a box a little too large for a sheet is told what would go on one', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  const hint = page.getByText(/would go on one/);
  await fill(page, 'From the left', '1');
  await fill(page, 'Width', '28.5');
  await hint.waitFor();
  const words = await hint.innerText();
  assert.match(words, /^A little too large for one sheet of A4: 2\d\.\d cm by 5\.0 cm would go on one\.$/);
  await fill(page, 'Width', /2\d\.\d/.exec(words)[0]);
  await hint.waitFor({ state: 'hidden' });
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a head made far too small or too large by a slip leaves the boxes on it as they were', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  for (const [label, length] of [['From the left', '12'], ['From the top', '14'], ['Height', '2']]) await fill(page, label, length);
  await openLine(page, 'Placing');
  for (const height of ['2.5', '20', '120', '20']) await fill(page, 'Head', height);
  await openLine(page, 'Grid');
  assert.deepEqual(await boxFields(page), ['12.0', '14.0', '5.0', '2.0']);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('on a smaller canvas the head keeps its size and its share of the way, and the box stays on it', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  await fill(page, 'From the left', '12');
  await openLine(page, 'Canvas');
  await fill(page, 'Width', '20');
  await fill(page, 'Height', '30');
  await openLine(page, 'Placing');
  const field = (label) => page.locator('#panel-placing').getByLabel(label, { exact: true }).inputValue();
  // The head's middle was 15 of 30 cm across and 18 of 40 cm down.
  assert.deepEqual(await Promise.all(['Head', 'Left', 'Above'].map(field)), ['20.0', '10.0', '3.5']);
  await openLine(page, 'Grid');
  assert.deepEqual(await boxFields(page), ['7.0', '2.5', '5.0', '5.0']);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('the marks of a box are counted alike everywhere, told from the nearest sides, and the box is shown', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  await fill(page, 'From the left', '20');
  await openLine(page, 'Mark-up');
  // Quarters: 4 sides of 3 marks; the box's 4 corners, and 3 marks along its top and its left.
  await says(page, 'Mark-up', /^22 marks, 10 of them for the detail box/);
  await page.getByText('0 of 22 marks ticked off.').waitFor();
  await page.getByLabel('What is marked').selectOption({ label: 'Detail 1' });
  await page.getByLabel('The top left corner, 10.0 cm from the right and 7.0 cm from the top').waitFor();
  await page.getByLabel('The bottom right corner, 5.0 cm from the right and 12.0 cm from the top').waitFor();
  assert.match(await page.locator('#panel-mark-up').innerText(), /top left corner, from the right\s+7\.0\s+from the top/);
  const drawn = await page.locator('.overlay text').allInnerTexts();
  assert.deepEqual(drawn.length, 4);
  // 5 cm in quarters: 1.25 and 3.75 are each rounded by themselves.
  assert.match(await page.locator('#panel-mark-up').innerText(), /1\.3\s+3\.8/);
  await page.getByText(/Each reading is rounded by itself, so that the two may add up to 1 mm more or less than the side\./).waitFor();
  await page.getByLabel('What is marked').selectOption({ label: 'The canvas' });
  assert.equal(await page.locator('.overlay text').count(), 0);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('what is no length is told by what was typed, and both sides may be typed into one field', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  await enter(page, 'Width', 'abc');
  await page.getByText('The width “abc” is not a length.').waitFor();
  await fill(page, 'Height', '6 x 4');
  assert.deepEqual((await boxFields(page)).slice(2), ['6.0', '4.0']);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('what is typed in one field is kept though the next is typed before the studio has answered', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await withBox(context);
  await page.route('**/edits', async (route) => {
    await new Promise((resolve) => { setTimeout(resolve, 400); });
    await route.continue();
  });
  /** Types into one field after another without waiting. */
  const typeAll = async (entries) => {
    for (const [label, text] of entries) {
      const field = page.locator('.panel:not([hidden])').getByLabel(label, { exact: true }).last();
      await field.fill(text);
      await field.press('Tab');
    }
    await saved(page);
  };
  await typeAll([['From the left', '12'], ['From the top', '14'], ['Width', '6'], ['Height', '7'], ['Columns', '3'], ['Rows', '5']]);
  assert.deepEqual(await boxFields(page), ['12.0', '14.0', '6.0', '7.0']);
  assert.deepEqual(await Promise.all(['Columns', 'Rows'].map((label) => page.getByLabel(label, { exact: true }).last().inputValue())), ['3', '5']);
  await openLine(page, 'Canvas');
  await typeAll([['Width', '33'], ['Height', '44']]);
  assert.match(await page.locator('#line-canvas .sentence').innerText(), /33\D+44/);
  assert.deepEqual(page.faults, []);
  await context.close();
});
