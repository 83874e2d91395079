// The print line: reference sheets at a ratio and in another tone, strong or light lines, and the sheet of proportions, in
// the pictures of the sheets and in the packet alike.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { CAST, fill, markHead, newPage, newPainting, openLine, press, saved, says, startBrowser, startStudio } from './studio.js';

const run = promisify(execFile);
let studio, browser, context, page;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
  context = await browser.newContext({ viewport: { width: 1280, height: 800 }, acceptDownloads: true });
  page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** The pictures of the sheets, once they are drawn anew. */
async function drawnAfter(act) {
  const answered = page.waitForResponse((response) => response.url().includes('/sheets?') && response.ok());
  await act();
  const { sheets } = await (await answered).json();
  await page.waitForFunction((count) => document.querySelectorAll('.sheets li').length === count, sheets.length);
  return sheets;
}

const svg = async (sheet) => (await fetch(new URL(sheet.picture, studio.address))).text();

test('lines chosen on the grid line reach the screen and the sheets', async () => {
  await openLine(page, 'Grid');
  await page.getByRole('radio', { name: 'Dark', exact: true }).check();
  await saved(page);
  await page.getByLabel('Strength').fill('3');
  await page.getByLabel('Strength').dispatchEvent('change');
  await saved(page);
  const line = page.locator('.stage .grid .line');
  assert.deepEqual(await line.evaluateAll((lines) => lines.map((one) => [one.classList.contains('dark'), one.getAttribute('stroke-width')])), [[true, '3']]);
  const sheets = await drawnAfter(() => openLine(page, 'Print'));
  const reference = sheets.find(({ kind }) => kind === 'reference');
  // 0.39 mm in points, which is the unit of the picture.
  assert.match(await svg(reference), /stroke-width="1\.10/);
  await page.getByRole('button', { name: 'Undo' }).click();
  await saved(page);
});

test('reference sheets are shown and printed at a ratio, in a tone, and turned', async () => {
  await openLine(page, 'Print');
  const before_ = await page.locator('.sheets li').count();
  const half = await drawnAfter(() => page.getByLabel('Its size to the canvas’s').selectOption('1:2'));
  assert.ok(half.length < before_, `${half.length} sheets in place of ${before_}`);
  await page.getByText('Not true size, for a canvas too large to print').waitFor();
  await drawnAfter(() => page.locator('#panel-print').getByRole('radio', { name: 'Value map' }).check());
  await drawnAfter(() => page.locator('#panel-print').getByLabel('5 steps').fill('3'));
  const turned = await drawnAfter(() => page.getByRole('checkbox', { name: 'In a mirror' }).check());
  assert.ok(turned.every(({ picture }) => picture.includes('ratio=1%3A2') && picture.includes('mirror')));
  const downloading = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Make the packet' }).click();
  const file = await (await downloading).path();
  const { stdout } = await run('pdftotext', ['-layout', file, '-']);
  for (const words of [/Reference sheets at 1:2/, /Not true size: 1:2\. Proportional dividers at 2 to 1/, /Seen in a mirror/]) assert.match(stdout, words);
  assert.equal(Number(/Pages:\s+(\d+)/.exec((await run('pdfinfo', [file])).stdout)?.[1]), turned.length);
  // The choice is kept on this device.
  await page.reload();
  await page.locator('html.laid').waitFor();
  await openLine(page, 'Print');
  assert.equal(await page.getByLabel('Its size to the canvas’s').inputValue(), '1:2');
  assert.equal(await page.locator('#panel-print').getByRole('radio', { name: 'Value map' }).isChecked(), true);
  await page.getByLabel('Its size to the canvas’s').selectOption('1:1');
  // On the wall the sheets lie unturned: their names are others.
  const [seams, names] = [page.locator('.seams path, .seams line'), page.locator('.seams text')];
  assert.ok(await seams.count() > 0);
  assert.equal(await names.count(), 0);
  await page.getByRole('checkbox', { name: 'In a mirror' }).uncheck();
  await names.first().waitFor();
  await drawnAfter(() => page.locator('#panel-print').getByRole('radio', { name: 'Photo', exact: true }).check());
  assert.deepEqual(page.faults, []);
});

test('sheets of background alone are left out when that is ticked, and only then', async () => {
  await openLine(page, 'Print');
  const tick = page.getByRole('checkbox', { name: 'Leave out sheets of background alone' });
  await drawnAfter(() => tick.check());
  await page.getByText('None is left out until the head, a detail box or a landmark is marked.').waitFor();
  await openLine(page, 'Placing');
  await markHead(page);
  await openLine(page, 'Print');
  const all = await drawnAfter(() => tick.uncheck());
  const ofReference = (sheets) => sheets.filter(({ kind }) => kind === 'reference').map(({ label }) => label);
  const fewer = await drawnAfter(() => tick.check());
  await page.getByText('Those with neither the head nor a detail box nor a landmark').waitFor();
  const [before_, left] = [ofReference(all), ofReference(fewer)];
  assert.ok(left.length > 0 && left.length < before_.length, `${left} of ${before_}`);
  assert.ok(left.every((label) => before_.includes(label)));
  assert.equal(fewer.length, all.length - (before_.length - left.length));
  // The picture of one such sheet is asked for among those that are left.
  assert.ok(fewer.every(({ picture }) => picture.includes('likeness_only=true')));
  assert.ok((await svg(fewer.at(-1))).startsWith('<svg'));
  await drawnAfter(() => tick.uncheck());
  assert.deepEqual(page.faults, []);
});

test('ticks, the printer and the kinds of sheet are known in another browser, and what is done there in this one', async () => {
  const answered = () => page.waitForResponse((response) => response.url().endsWith('/choices') && response.request().method() === 'PUT' && response.ok());
  const done = async (act) => { const sent = answered(); await act(); await sent; };
  await openLine(page, 'Mark-up');
  await done(() => page.getByLabel(/^Mark 1 of /).check());
  await openLine(page, 'Print');
  await press(page, 'Measure a printer');
  await fill(page, 'Its name', 'Studio inkjet');
  await fill(page, 'The level bar measures', '99 mm');
  await done(() => press(page, 'Keep it'));
  await done(() => page.getByRole('checkbox', { name: /^Film sheet/ }).check());
  const elsewhere = await browser.newContext({ viewport: { width: 1180, height: 820 } });
  const other = await newPage(elsewhere, studio);
  await other.goto(page.url());
  await other.locator('html.laid').waitFor();
  await openLine(other, 'Print');
  await other.waitForFunction(() => [...document.querySelectorAll('#panel-print select')].some((list) => list.value === 'Studio inkjet'));
  assert.equal(await other.getByRole('checkbox', { name: /^Film sheet/ }).isChecked(), true);
  await openLine(other, 'Mark-up');
  assert.equal(await other.getByLabel(/^Mark 1 of /).isChecked(), true);
  await other.getByLabel(/^Mark 2 of /).check();
  await other.getByText(/^2 of \d+ marks ticked off/).waitFor();
  // Ticks of both join, and are seen without asking; also what is ticked here after that there.
  await openLine(page, 'Mark-up');
  await page.getByText(/^2 of \d+ marks ticked off/).waitFor();
  await done(() => page.getByLabel(/^Mark 3 of /).check());
  await other.getByText(/^3 of \d+ marks ticked off/).waitFor();
  assert.deepEqual([page.faults, other.faults], [[], []]);
  await elsewhere.close();
  await openLine(page, 'Print');
  await done(() => page.locator('#panel-print').getByLabel('Printer', { exact: true }).selectOption(''));
  await done(() => page.getByRole('checkbox', { name: /^Film sheet/ }).uncheck());
});

test('the foot tells of a packet only while it is the one that would be made', async () => {
  const told = page.getByText(/is with your downloads/);
  await page.getByRole('button', { name: 'Make the packet' }).click();
  await told.waitFor({ timeout: 30000 });
  await openLine(page, 'Grid');
  assert.equal(await told.count(), 1);
  await openLine(page, 'Print');
  const film = page.getByRole('checkbox', { name: /^Film sheet/ });
  await film.check();
  await told.waitFor({ state: 'detached' });
  await film.uncheck();
});

test('a seam that can go no further says why', async () => {
  await openLine(page, 'Print');
  const seam = page.getByRole('button', { name: /^The upright seam 1/ });
  const trouble = page.locator('#panel-print .trouble').filter({ hasText: 'The seam goes no further: the sheet beside it holds no more of the canvas.' });
  const box = await seam.boundingBox();
  const drag = async (far) => {
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 + far, box.y + box.height / 2, { steps: 4 });
    await page.mouse.up();
  };
  await drag(400);
  await trouble.waitFor();
  await press(page, 'Let them run by themselves');
  await trouble.waitFor({ state: 'hidden' });
  assert.deepEqual(page.faults, []);
});

test('once landmarks tell them, proportions and the camera have a sheet', async () => {
  await openLine(page, 'Likeness');
  const hung = await page.locator('.hung').boundingBox();
  for (const [name, across, down] of [['crown', 0.5, 0.16], ['chin', 0.48, 0.6], ['right pupil', 0.42, 0.39], ['left pupil', 0.54, 0.38]]) {
    await page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true }).selectOption(name);
    await page.mouse.click(hung.x + hung.width * across, hung.y + hung.height * down);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
  }
  await says(page, 'Likeness', /^4 landmarks/);
  const sheets = await drawnAfter(() => openLine(page, 'Print'));
  assert.equal(sheets.filter(({ kind }) => kind === 'proportions').length, 1);
  await press(page, 'Look at the sheet Proportions');
  await page.getByRole('img', { name: 'The proportions sheet Proportions as it will be printed' }).waitFor();
  await page.keyboard.press('Escape');
  assert.deepEqual(page.faults, []);
});

test('what was chosen and cannot be is told and not shown as chosen, until something else is done', async () => {
  await openLine(page, 'Print');
  const paper = page.getByLabel('Paper', { exact: true });
  const seams = page.getByRole('radio', { name: 'On the fewest sheets' });
  const stands = await paper.inputValue();
  // No choice on these lists is one that the studio refuses today: so the network refuses it.
  await page.route('**/edits', (route) => route.fulfill({ status: 422, json: { message: 'That cannot be.', state: null } }), { times: 2 });
  const told = page.locator('#panel-print .trouble').filter({ hasText: 'That cannot be.' });
  for (const choose of [() => paper.selectOption('a3'), () => seams.click()]) {
    const refused = page.waitForResponse(/\/edits$/);
    await choose();
    await refused;
    await told.first().waitFor();
  }
  await page.evaluate(() => new Promise((shown) => { requestAnimationFrame(shown); }));
  assert.equal(await paper.inputValue(), stands);
  assert.equal(await seams.isChecked(), false);
  await paper.selectOption('a3');
  await saved(page);
  assert.equal(await paper.inputValue(), 'a3');
  assert.equal(await told.count(), 0);
});
