// Undo and redo over many edits, a reload and a restart in the middle, and two tabs on one painting.

import assert from 'node:assert/strict';
import { rename } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { CAST, fill, markHead, newPage, newPainting, openLine, press, saved, says, sentenceOf, startBrowser, startStudio } from './studio.js';

/** As many edits as the issue asks to be undone. */
const EDITS = 50;
let studio;
let browser;
before(async () => {
  studio = await startStudio();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test(`${EDITS} edits are undone and redone one by one, through a reload and a restart`, async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Grid');
  for (let edit = 1; edit <= EDITS; edit += 1) await fill(page, edit % 2 ? 'Columns' : 'Rows', String(4 + Math.ceil(edit / 2)));
  await says(page, 'Grid', /^29 parts each way/);
  for (let edit = 0; edit < EDITS / 2; edit += 1) await undo(page);
  const half = await sentenceOf(page, 'Grid');
  assert.match(half, /^17 columns, 16 rows/);

  await page.reload();
  await says(page, 'Grid', /^17 columns, 16 rows/);
  const { folder, address } = studio;
  const path = new URL(page.url()).pathname;
  await studio.stop();
  studio = await startStudio(folder);
  await page.goto(new URL(path, studio.address).href);
  await says(page, 'Grid', /^17 columns, 16 rows/);
  assert.notEqual(studio.address, '', address);

  for (let edit = 0; edit < EDITS / 2; edit += 1) await undo(page);
  await says(page, 'Grid', /^Quarters/);
  for (let edit = 0; edit < EDITS; edit += 1) await redo(page);
  await says(page, 'Grid', /^29 parts each way/);
  assert.equal(await page.locator('#redo').getAttribute('aria-disabled'), 'true');
  await context.close();
});

test('the platform’s keys undo and redo, but not while a field is typed in', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Grid');
  await press(page, 'Eighths');
  await says(page, 'Grid', /^Eighths/);
  await page.keyboard.press('Control+z');
  await says(page, 'Grid', /^Quarters/);
  await page.keyboard.press('Control+Shift+z');
  await says(page, 'Grid', /^Eighths/);
  await page.getByLabel('Columns').first().fill('7');
  await page.keyboard.press('Control+z');
  await says(page, 'Grid', /^Eighths/);
  await context.close();
});

test('two tabs on one painting stay in step, and a change from an old state is told', async () => {
  const context = await browser.newContext();
  const [first, second] = [await newPage(context, studio), await newPage(context, studio)];
  await newPainting(first, studio, CAST);
  await second.goto(first.url().replace(/#.*/, ''));
  await second.locator('html.laid').waitFor();
  // Only the tab in front is pressed quickly.
  await first.bringToFront();
  await openLine(first, 'Grid');
  await press(first, 'Eighths');
  await says(second, 'Grid', /^Eighths/);
  await second.bringToFront();
  await openLine(second, 'Grid');
  await press(second, 'Halves');
  await says(first, 'Grid', /^Halves/);

  // The news are held back from the first tab, so that it edits a state that is gone.
  await first.route('**/api/paintings/*', (route) => route.abort());
  await press(second, 'Quarters');
  await saved(second);
  await first.bringToFront();
  await press(first, 'Eighths');
  await first.getByText('was changed elsewhere').waitFor();
  await says(first, 'Grid', /^Quarters/);
  assert.deepEqual(second.faults, []);
  await context.close();
});

test('a change that does not reach the studio is told, kept, and saved when it answers again', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Grid');
  await page.route('**/edits', (route) => route.abort());
  await press(page, 'Eighths');
  await page.getByText('Not saved: the studio does not answer.').waitFor();
  await page.unroute('**/edits');
  await page.getByRole('button', { name: 'Try again' }).click();
  await saved(page);
  await says(page, 'Grid', /^Eighths/);
  await context.close();
});

test('where the answer to a change is lost it is said that the change may be made already', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Grid');
  await page.route('**/edits', async (route) => {
    await route.fetch();
    await route.abort();
  });
  await press(page, 'Eighths');
  await page.getByText('Not saved: the studio does not answer.').waitFor();
  await page.unroute('**/edits');
  await page.getByRole('button', { name: 'Try again' }).click();
  await page.locator('#notice').filter({ hasText: /^The studio’s answer may have been lost/ }).waitFor();
  await says(page, 'Grid', /^Eighths/);
  await context.close();
});

test('a file that is gone is told at the head of the page, not only beside what was changed', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  const { file } = await page.evaluate(async () => (await fetch(`/api${location.pathname.replace('painting', 'paintings')}`)).json());
  const [here, elsewhere] = [join(studio.folder, file), join(studio.folder, 'elsewhere.txt')];
  await rename(here, elsewhere);
  await openLine(page, 'Grid');
  await press(page, 'Eighths');
  await page.locator('#saved').filter({ hasText: /^Not saved: .*moved or renamed/ }).waitFor();
  await rename(elsewhere, here);
  await press(page, 'Eighths');
  await saved(page);
  await says(page, 'Grid', /^Eighths/);
  await context.close();
});

test('what is typed and not entered is not called saved, and is not lost without a question', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  const head = page.locator('#panel-placing').getByLabel('Head', { exact: true });
  const before_ = await head.inputValue();
  await head.fill('7');
  await page.getByText('Enter keeps it', { exact: true }).waitFor();
  await head.press('Escape');
  await saved(page);
  assert.equal(await head.inputValue(), before_);
  await head.fill('7');
  const asked = page.waitForEvent('dialog');
  await page.close({ runBeforeUnload: true });
  const question = await asked;
  assert.equal(question.type(), 'beforeunload');
  await question.dismiss();
  // Whoever leaves by the page's own way leaves the field first: what was typed is kept.
  await page.getByRole('link', { name: 'The shelf' }).click();
  await page.getByRole('button', { name: 'New painting' }).waitFor();
  await page.goBack();
  await page.locator('html.laid').waitFor();
  await says(page, 'Placing', /^Head 7 in,/);
  // With nothing left to send there is nothing to ask.
  const closed = page.waitForEvent('close');
  await page.close({ runBeforeUnload: true });
  await closed;
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('what stands in a field is kept when a tablet puts the page away', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await page.locator('#panel-placing').getByLabel('Head', { exact: true }).fill('8');
  // What a browser tells a page then; it is closed later without another word.
  await page.evaluate(() => {
    Object.defineProperty(document, 'hidden', { value: true });
    document.dispatchEvent(new Event('visibilitychange'));
  });
  await says(page, 'Placing', /^Head 8 in,/);
  assert.deepEqual(page.faults, []);
  await context.close();
});

async function undo(page) {
  await page.locator('#undo').click();
  await saved(page);
}

async function redo(page) {
  await page.locator('#redo').click();
  await saved(page);
}
