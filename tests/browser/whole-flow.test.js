// From an empty shelf and a photo to a downloaded packet, as a painter with a mouse goes through it.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { assertAccessible } from './looks.js';
import { CAST, OUT, PHOTO, drag, enter, fill, isSeen, markHead, lineOf, middle, newPage, newPainting, onCanvas, openLine, press, saved, says, startBrowser, startStudio } from './studio.js';

const run = promisify(execFile);
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

test('a painting goes from a photo to a packet whose reference is printed at true size', async () => {
  const context = await browser.newContext({ acceptDownloads: true });
  const page = await newPage(context, studio);
  await newPainting(page, studio, PHOTO);
  await says(page, 'Reference', /\d+ × \d+ pixels/);

  await openLine(page, 'Canvas');
  await page.getByLabel('Standard sizes').selectOption('12 × 16 in');
  await says(page, 'Canvas', /^12 × 16 in/);

  await openLine(page, 'Placing');
  await press(page, 'Cover the canvas');
  await markHead(page);
  await drag(page, await middle(page.getByRole('button', { name: /^Crown\. / })), await onCanvas(page, 0.5, 0.25));
  await fill(page, 'Head', '8');
  await says(page, 'Placing', /^Head 8 in/);
  await fill(page, 'Above', '2 1/4');
  await says(page, 'Placing', /2 ?1\/4 in below the top edge/);
  const above = page.getByLabel('Above');
  await fill(page, 'Above', '2.3');
  assert.equal(await above.inputValue(), '2 5/16', 'a length stands as on the ruler');
  await above.fill('wide');
  await above.press('Enter');
  const trouble = page.locator('#panel-placing .trouble').filter({ hasText: /“wide.*\.$/ });
  await trouble.waitFor();
  assert.equal((await trouble.boundingBox()).width, (await page.locator('#panel-placing .about').boundingBox()).width, 'it takes the width of all fields');
  assert.ok((await above.getAttribute('aria-describedby')).includes(await trouble.getAttribute('id')));
  assert.equal(await above.getAttribute('aria-invalid'), 'true');
  await fill(page, 'Above', '2 1/4');

  await openLine(page, 'Grid');
  await press(page, 'Eighths');
  await says(page, 'Grid', /^Eighths/);
  await press(page, 'Add a detail box');
  await says(page, 'Grid', /one detail box/);

  await openLine(page, 'Mark-up');
  await page.getByLabel(/^Mark 1 of 7/).check();
  await page.getByText('1 of 38 marks ticked off.').waitFor();
  await page.locator('.readings tr', { has: page.getByLabel(/^Mark 2 of 7/) }).locator('.reading').first().click();
  await page.getByText('2 of 38 marks ticked off.').waitFor();
  // A tick goes with the mark's place, whatever ruler it is read on.
  await page.getByText('2 of 38 marks ticked off.').waitFor();
  await openLine(page, 'Canvas');
  await page.locator('#panel-canvas').getByLabel(/ruler is read to/).selectOption({ index: 0 });
  await saved(page);
  await openLine(page, 'Mark-up');
  await page.getByText('2 of 38 marks ticked off.').waitFor();
  assert.equal(await page.getByText(/not in the plan any more/).count(), 0);
  await openLine(page, 'Canvas');
  await page.locator('#panel-canvas').getByLabel(/ruler is read to/).selectOption({ index: 1 });
  await saved(page);
  // A mark that the plan has no more is to be rubbed out, and that is said; the one at a quarter stays.
  await openLine(page, 'Grid');
  await press(page, 'Quarters');
  await openLine(page, 'Mark-up');
  const gone = page.getByText(/^A mark that was ticked off is not in the plan any more/);
  await gone.waitFor();
  assert.equal(await page.locator('.stage .rub-out').count(), 1, 'and is crossed out where it was');
  await press(page, 'They are rubbed out');
  await gone.waitFor({ state: 'hidden' });
  assert.equal(await page.locator('.stage .rub-out').count(), 0);
  await openLine(page, 'Grid');
  await press(page, 'Eighths');
  await openLine(page, 'Mark-up');
  await page.getByText('1 of 38 marks ticked off.').waitFor();
  await press(page, 'Start afresh');
  await press(page, 'Take all ticks away');
  await page.getByText('0 of 38 marks ticked off.').waitFor();

  await openLine(page, 'Print');
  await page.getByLabel('Paper').selectOption('letter');
  await page.locator('.sheets li').first().waitFor();
  const look = page.getByRole('button', { name: /^Look at the sheet / }).first();
  await look.click();
  await page.getByRole('img', { name: /as it will be printed$/ }).waitFor();
  await page.keyboard.press('Escape');
  await page.getByRole('img', { name: /as it will be printed$/ }).waitFor({ state: 'hidden' });
  assert.ok(await look.evaluate((element) => element === document.activeElement), 'the focus is back where it was');
  const downloading = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Make the packet' }).click();
  const file = await (await downloading).path();
  const { stdout } = await run('pdfinfo', ['-box', file]);
  assert.match(stdout, /MediaBox:\s+0\.00\s+0\.00\s+612\.00\s+792\.00/, 'the packet is on Letter');
  const pages = Number(/Pages:\s+(\d+)/.exec(stdout)?.[1]);
  assert.equal(pages, await page.locator('.sheets li').count(), 'the packet has the sheets that were shown');
  // Poppler measures the photo on the sheets at as many pixels to the inch as the page says it has on the canvas.
  await openLine(page, 'Reference');
  const resolution = Number(/(\d+) pixels of the photo to an inch of canvas/.exec(await page.locator('#panel-reference .facts').innerText())?.[1]);
  const { stdout: images } = await run('pdfimages', ['-list', file]);
  const onSheets = images.split('\n').slice(2).map((line) => line.trim().split(/\s+/)).map((columns) => [Number(columns[12]), Number(columns[13])]);
  const atTrueSize = onSheets.filter(([across, down]) => Math.abs(across - resolution) <= 1 && Math.abs(down - resolution) <= 1);
  assert.ok(resolution > 0 && atTrueSize.length > 1, `the photo has ${resolution} pixels to the inch on the canvas, ${JSON.stringify(onSheets)} on the sheets`);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a file that is no picture is refused in words, and the painting stays as it was', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await page.locator('#lines input[type=file], #panel-reference input[type=file]').first().waitFor({ state: 'attached' });
  await openLine(page, 'Reference');
  await page.locator('input[type=file]').first().setInputFiles({ name: 'letter.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('Dear painter') });
  const trouble = page.locator('#panel-reference > .controls .trouble').filter({ hasText: /\S/ });
  await trouble.first().waitFor();
  assert.match(await trouble.first().innerText(), /letter\.jpg.*\.$/s);
  await says(page, 'Reference', /Bring in the photo/);
  await context.close();
});

test('a photo dropped on the wall is brought in, and one dropped on the shelf starts a painting', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await page.goto(studio.address);
  await page.getByRole('button', { name: 'New painting' }).waitFor();
  await drop(page, CAST);
  await page.waitForURL(/\/painting\//);
  await says(page, 'Reference', /3000 × 4000 pixels/);
  assert.equal(await page.getByLabel('Title of the painting').inputValue(), 'harbour-pilot');
  await context.close();
});

test('measurements that contradict each other are told beside them', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Canvas');
  const six = { Top: '16', Bottom: '16', Left: '20', Right: '20', 'Diagonal down ↘': '25 5/8', 'Diagonal up ↗': '26' };
  for (const [label, text] of Object.entries(six)) await enter(page, label, text);
  await saved(page);
  await says(page, 'Canvas', /contradict each other/);
  assert.match(await lineOf(page, 'Canvas').locator('.standing').innerText(), /look again/);
  assert.ok((await page.locator('#panel-canvas .doubt').innerText()).length > 20);
  await context.close();
});

test('of the six measurements what was refused is shown until it is put right, and gives way to undo', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Canvas');
  const six = { Top: '16', Bottom: '16', Left: '20', Right: '20', 'Diagonal down ↘': '25 5/8', 'Diagonal up ↗': '25 5/8' };
  const field = (label) => page.locator('#panel-canvas').getByLabel(label, { exact: true });
  const shown = () => Promise.all(Object.keys(six).map((label) => field(label).inputValue()));
  const trouble = page.locator('#panel-canvas .trouble:not(:empty)');
  for (const [label, text] of Object.entries(six)) {
    await enter(page, label, text);
    if (label !== 'Diagonal up ↗') await page.getByText('Not kept yet', { exact: true }).waitFor();
  }
  await saved(page);
  await says(page, 'Canvas', /^16 × 20 in, measured/);
  await enter(page, 'Top', '40');
  await page.getByText(/cannot belong to one canvas/).waitFor();
  assert.ok(await isSeen(trouble));
  assert.equal(await field('Top').inputValue(), '40', 'what was refused is not hidden by what stands');
  await page.getByText('Not kept yet', { exact: true }).waitFor();
  await page.getByRole('button', { name: /^Undo/ }).click();
  await saved(page);
  await trouble.first().waitFor({ state: 'detached' });
  assert.deepEqual(await shown(), Object.values(six).map(() => ''));
  assert.equal(await page.getByText(/more to measure/).count(), 0);
  await page.getByRole('button', { name: /^Redo/ }).click();
  await saved(page);
  assert.deepEqual(await shown(), Object.values(six));
  // A slip, put right by typing what stood there before.
  await enter(page, 'Top', '0');
  await page.getByText(/out of range/).waitFor();
  await enter(page, 'Top', '16');
  await saved(page);
  assert.equal(await trouble.count(), 0);
  assert.deepEqual(await shown(), Object.values(six));
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a file that is only named like a painting is refused by its own name', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await page.goto(studio.address);
  await page.locator('#shelf-actions input[type=file]').setInputFiles({ name: 'a letter.mahlstick', mimeType: 'application/octet-stream', buffer: Buffer.from('Dear painter') });
  await page.getByText('“a letter.mahlstick” is not a painting file, though it is named like one. Choose another file.').waitFor();
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a painting that is taken down is hung again in its place', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await page.getByLabel('Title of the painting').fill('The lighthouse keeper');
  await page.getByLabel('Title of the painting').press('Enter');
  await saved(page);
  const file = /keeps its name, (painting[-\d]*\.mahlstick)\./.exec(await page.locator('#notice').innerText())?.[1] ?? '';
  assert.ok((await readdir(studio.folder)).includes(file), `“${file}” is told`);
  await page.getByRole('link', { name: 'The shelf' }).click();
  await page.getByRole('listitem').filter({ hasText: 'The lighthouse keeper' }).getByText(file).waitFor();
  await page.getByRole('button', { name: 'Take down The lighthouse keeper' }).click();
  await page.locator('#paintings').getByText('Taken down', { exact: true }).waitFor();
  await page.getByRole('button', { name: 'Hang The lighthouse keeper again' }).click();
  await page.getByRole('link', { name: 'The lighthouse keeper' }).waitFor();
  await page.reload();
  await page.getByRole('link', { name: 'The lighthouse keeper' }).waitFor();
  assert.equal(await page.locator('#taken-down').isHidden(), true);
  // And on another day, when its place is gone.
  await page.getByRole('button', { name: 'Take down The lighthouse keeper' }).click();
  await page.locator('#paintings').getByText('Taken down', { exact: true }).waitFor();
  await page.reload();
  await page.locator('summary').click();
  await page.locator('#taken-down-list').getByText(file).waitFor();
  await page.getByRole('button', { name: 'Hang The lighthouse keeper again' }).click();
  await page.getByRole('link', { name: 'The lighthouse keeper' }).waitFor();
  // A file that cannot be opened leaves no painting behind, there neither.
  await page.locator('input[type=file]').first().setInputFiles({ name: 'letter.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('Dear painter') });
  await page.locator('#shelf-notice').filter({ hasText: 'letter.jpg' }).waitFor();
  await page.reload();
  await page.getByRole('link', { name: 'The lighthouse keeper' }).waitFor();
  assert.equal(await page.getByText(/letter/).count(), 0);
  assert.deepEqual(page.faults, []);
  await context.close();
});

/** Drops a file on the page, as from the desktop. */
async function drop(page, path) {
  const { readFile } = await import('node:fs/promises');
  const { basename } = await import('node:path');
  const bytes = (await readFile(path)).toString('base64');
  await page.evaluate(([name, encoded]) => {
    const data = new DataTransfer();
    const content = Uint8Array.from(atob(encoded), (character) => character.charCodeAt(0));
    data.items.add(new File([content], name, { type: 'image/jpeg' }));
    for (const type of ['dragenter', 'dragover', 'drop']) {
      document.body.dispatchEvent(new DragEvent(type, { dataTransfer: data, bubbles: true, cancelable: true }));
    }
  }, [basename(path), bytes]);
}

test('on a full shelf a painting is found by its name, and a copy is brought into sight', async (t) => {
  const own = await startStudio();
  t.after(() => own.clear());
  const page = await newPage(await browser.newContext({ bypassCSP: true }), own);
  for (const title of ['Aunt Zoé', 'The baker', 'The cooper', 'The diver', 'The engraver', 'The ferryman', 'The glazier', 'The hatter']) {
    await fetch(new URL('/api/paintings', own.address), { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ title, size: '12 x 16 in' }) });
  }
  await page.goto(own.address);
  await page.getByRole('link', { name: 'Aunt Zoé' }).waitFor();
  assert.equal(await page.getByLabel('Find a painting').isVisible(), false);
  await page.getByRole('button', { name: 'Make a copy of Aunt Zoé' }).click();
  const copy = page.getByRole('link', { name: 'Aunt Zoé, copy' });
  await copy.waitFor();
  assert.equal(await copy.evaluate((link) => {
    const { top, bottom } = link.getBoundingClientRect();
    return document.activeElement === link && top >= 0 && bottom <= innerHeight;
  }), true);
  await page.getByLabel('Find a painting').fill('zoe');
  const seen = () => page.locator('#paintings > li:visible h2').allInnerTexts();
  assert.deepEqual((await seen()).sort(), ['Aunt Zoé', 'Aunt Zoé, copy']);
  await page.getByLabel('Find a painting').fill('the coo');
  assert.deepEqual(await seen(), ['The cooper']);
  await page.getByLabel('Find a painting').fill('');
  assert.equal((await seen()).length, 9);
  await assertAccessible(page, 'a full shelf');
  await page.screenshot({ path: join(OUT, 'screens', 'shelf-full.png') });
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
