// Notes go with the painting, and what the studio does not answer is not said to be saved.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { newPage, newPainting, openLine, press, saved, sentenceOf, startBrowser, startStudio } from './studio.js';

let studio, browser;
before(async () => { [studio, browser] = await Promise.all([startStudio(), startBrowser()]); });
after(async () => {
  await browser?.close();
  await studio?.clear();
});

const NOTED = 'Pose as in the second sitting, north light.';

test('notes are kept by themselves, seen in another window, and go with the file that is saved', async () => {
  const context = await browser.newContext({ acceptDownloads: true });
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  assert.equal(await sentenceOf(page, 'Notes'), 'Nothing noted yet');
  await openLine(page, 'Notes');
  const area = page.getByLabel(/^Pose, light/);
  await area.fill(NOTED);
  assert.equal(await page.locator('#saved').innerText(), 'Not saved yet');
  await saved(page);
  assert.equal(await sentenceOf(page, 'Notes'), NOTED);
  // The field's own undo is the field's, not the painting's.
  await area.press('End');
  await area.pressSequentially(' x');
  await area.press('Control+z');
  assert.match(await page.locator('#notice').innerText(), /^$/);
  await area.fill(NOTED);
  await saved(page);

  const other = await newPage(context, studio);
  await other.goto(page.url().replace(/#.*/, ''));
  await other.locator('html.laid').waitFor();
  assert.equal(await sentenceOf(other, 'Notes'), NOTED);
  await openLine(other, 'Notes');
  await press(other, 'Begin with today’s date');
  await other.keyboard.type('the left eye is done.');
  await saved(other);
  await page.bringToFront();
  await page.locator('#line-grid').click();
  await page.waitForFunction(() => document.querySelector('#notes').value.includes('the left eye is done.'));
  // Written in both windows at once, neither loses what it wrote.
  await openLine(page, 'Notes');
  await area.press('Control+End');
  await area.pressSequentially(' Varnish in May.');
  await other.getByLabel(/^Pose, light/).press('Control+End');
  await other.getByLabel(/^Pose, light/).pressSequentially(' No necklace.');
  await page.waitForFunction(() => document.querySelector('#saved').textContent === 'Saved');
  await saved(other);
  await other.locator('#line-grid').click();
  await other.waitForFunction(() => ['Varnish in May.', 'No necklace.'].every((part) => document.querySelector('#notes').value.includes(part)), undefined, { polling: 50 });

  // Also at its beginning, over and over: each stands there once.
  const fields = [page, other].map((window) => window.getByLabel(/^Pose, light/));
  await openLine(other, 'Notes');
  for (const round of ['1', '2', '3']) {
    for (const [at, field] of fields.entries()) {
      await field.press('Control+Home');
      await field.pressSequentially(`<${at}${round}>`);
    }
    await saved(page);
    await saved(other);
  }
  await page.waitForFunction(() => /(<[01][123]>){6}/.test(document.querySelector('#notes').value.replaceAll('\n', '')), undefined, { polling: 50 });
  const all = await fields[0].inputValue();
  for (const part of ['<01>', '<02>', '<03>', '<11>', '<12>', '<13>', NOTED, 'Varnish in May.', 'No necklace.']) {
    assert.equal(all.split(part).length, 2, `${part} in ${all}`);
  }
  // What is rubbed out does not come back.
  await fields[0].fill(`${NOTED} the left eye is done.`);
  await saved(page);
  await other.waitForFunction((text) => document.querySelector('#notes').value === text, `${NOTED} the left eye is done.`, { polling: 50 });

  await page.goto(studio.address);
  const title = await page.locator('.caption h2').first().innerText();
  const downloading = page.waitForEvent('download');
  await page.getByRole('button', { name: `Save its file: ${title}` }).click();
  const download = await downloading;
  assert.match(download.suggestedFilename(), /^Untitled|\d{4}-\d\d-\d\d\.mahlstick$/);
  const file = await readFile(await download.path());
  assert.ok(file.includes('the left eye is done.'), 'the notes are in it');
  assert.deepEqual([...page.faults, ...other.faults], []);
  await context.close();
});

test('a tick that the studio did not hear of is not said to be saved, and is sent again', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Mark-up');
  await context.setOffline(true);
  await page.getByLabel(/^Mark 1 of /).first().check();
  await page.locator('#saved').getByText(/^Not saved: the studio does not answer/).waitFor();
  await openLine(page, 'Notes');
  await page.getByLabel(/^Pose, light/).fill('Written while it was away.');
  await page.locator('#line-grid').click();
  await page.locator('#saved').getByText(/^Not saved/).waitFor();
  await context.setOffline(false);
  await saved(page);
  assert.equal(await sentenceOf(page, 'Notes'), 'Written while it was away.');
  const address = page.url().replace(/#.*/, '');
  await page.goto(address);
  await page.locator('html.laid').waitFor();
  assert.match(await sentenceOf(page, 'Mark-up'), /1 ticked off$/);
  await context.close();
});
