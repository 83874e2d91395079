// What the easel shows of the picture: tones, landmarks, spots, lines as strong as on the worktable, and what the worktable changes meanwhile.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { measure, openLedge, shownIn, startEasel } from './easel-page.js';
import { OUT, SCREENS } from './studio.js';

let bench, edit, onScreen, state;
before(async () => {
  bench = await startEasel();
  ({ edit, onScreen, state } = bench);
});
after(async () => bench?.clear());

test('values, squint and grey are one tap each, and go together with mirror and upside down', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  await page.mouse.click(300, 300);
  const tap = (name) => page.getByRole('button', { name, exact: true }).click();
  await tap('Grey');
  await shownIn(page, 'grey');
  await tap('Value map');
  await shownIn(page, 'values:5');
  await tap('Fewer steps');
  await shownIn(page, 'values:4');
  assert.equal(await page.locator('.ledge .value-strip li').count(), 4);
  await tap('Squint');
  await tap('More blur');
  await shownIn(page, 'squint:3/16 in');
  await tap('Mirror');
  await tap('Upside down');
  // Mirrored and turned over, what lies in one corner of the canvas lies in the other; photo and tone lie alike.
  const { view } = await state();
  assert.equal(await page.locator('.board > g').first().getAttribute('transform'), `matrix(1 0 0 -1 0 ${20 * 25.4})`);
  const laid = await page.locator('.board image').evaluateAll((images) => images.map((image) => image.getAttribute('transform')));
  assert.deepEqual(laid, Array(2).fill(`matrix(${view.reference.matrix.join(' ')})`));
  await tap('Squint');
  await shownIn(page, 'photo');
  // Flicked by holding still, the picture that was looked at last comes back.
  await tap('Compare');
  await shownIn(page, 'squint');
  await tap('Compare');
  await shownIn(page, 'photo');
  // What is kept is said on another day too, before anything is touched.
  await page.reload();
  await page.locator('.tag', { hasText: /^Seen in a mirror\. Upside down\.$/ }).waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('landmarks and their plumb and level lines are shown, follow the worktable, and can be read in a mirror', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  await edit({ likeness: { do: 'landmark', name: 'crown', at: [200, 60] } });
  await edit({ likeness: { do: 'landmark', name: 'chin', at: [180, 140] } });
  await page.mouse.click(300, 300);
  const tap = (name) => page.getByRole('button', { name, exact: true }).click();
  // At first the crosses alone: names lie over what they name.
  assert.equal(await page.getByRole('button', { name: 'Names', exact: true }).count(), 0);
  await tap('Landmarks');
  await page.locator('.marks .mark-point').nth(1).waitFor();
  assert.equal(await page.locator('.marks text:not(.box-name)').count(), 0);
  await tap('Names');
  await openLedge(page);
  await page.getByLabel('Size on this screen').selectOption('1:2');
  const words = page.locator('.marks text:not(.box-name)');
  assert.deepEqual(await words.allTextContents(), ['crown', 'chin']);
  const placeOf = (name) => words.filter({ hasText: name }).evaluate((text) => [Number(text.getAttribute('x')), Number(text.getAttribute('y'))]);
  const straight = await placeOf('crown');
  await tap('Plumb and level');
  await page.getByLabel('Plumb and level lines through').selectOption('crown');
  const plumb = () => page.locator('.board .line.dark[stroke-dasharray]').first().getAttribute('d');
  const line = /^M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)/.exec(await plumb())?.slice(1).map(Number) ?? [];
  assert.ok(Math.abs((line[0] ?? 0) - 200) < 0.5 && Math.abs((line[2] ?? 0) - 200) < 0.5, `the plumb line is ${line}`);
  await tap('Mirror');
  const mirrored = await placeOf('crown');
  // The words stand at the right of the mark, whichever way round the canvas is.
  assert.ok(Math.abs(straight[0] + mirrored[0] - 16 * 25.4 - 2 * (straight[0] - 200)) < 1e-6, `${straight} ${mirrored}`);
  await tap('Upside down');
  assert.ok((await placeOf('crown'))[1] > (await placeOf('chin'))[1]);
  await tap('Upside down');
  await tap('Mirror');
  const before_ = await placeOf('chin');
  await edit({ likeness: { do: 'landmark', name: 'chin', at: [180, 170] } });
  await page.waitForFunction((was) => Number([...document.querySelectorAll('.marks text:not(.box-name)')].find((text) => text.textContent === 'chin').getAttribute('y')) > was + 20, before_[1]);
  // A touch on a landmark lets the lines go through it.
  await page.keyboard.press('Escape');
  const at = await page.locator('.marks .mark-point').nth(1).boundingBox();
  await page.mouse.click(at.x + at.width / 2, at.y + at.height / 2);
  await page.waitForFunction(() => /^M1(79|80)/.test(document.querySelector('.board .line.dark[stroke-dasharray]')?.getAttribute('d') ?? ''));
  assert.equal(await page.locator('#ledge').isVisible(), false);
  for (const name of ['crown', 'chin']) await edit({ likeness: { do: 'forget-landmark', name } });
  await page.waitForFunction(() => document.querySelectorAll('.marks text:not(.box-name)').length === 0);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('what the worktable changes about lengths is told until the picture is touched', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const told = page.locator('.tag');
  const { view } = await state();
  await edit({ grid: { do: 'parts', columns: 6, rows: 6 } });
  await told.filter({ hasText: /^Changed at the worktable: the grid divides the canvas otherwise, so that its boxes have other names\.$/ }).waitFor();
  await page.mouse.click(300, 300);
  await told.filter({ hasText: /^$/ }).waitFor({ state: 'attached' });
  await edit({ reference: { do: 'mark-head', crown: [200, 100], chin: [200, 303.2] } });
  await page.reload();
  await page.locator('html.laid').waitFor();
  await edit({ reference: { do: 'head-height', height: '7 in' } });
  await told.filter({ hasText: 'Changed at the worktable: the head is 7 in high, it was 8 in.' }).waitFor();
  // What changes next is told beside it, until it is seen or as it was.
  await edit({ canvas: { do: 'size', width: '18 in', height: '24 in' } });
  await told.filter({ hasText: 'the canvas is 18 x 24 in, it was 16 x 20 in; the head is 7 in high, it was 8 in.' }).waitFor();
  await edit({ reference: { do: 'head-height', height: '8 in' } });
  await told.filter({ hasText: /the canvas is 18 x 24 in, it was 16 x 20 in\.$/ }).waitFor();
  await page.mouse.click(300, 300);
  const [width, height] = view.canvas.size.replace(' in', '').split(' x ').map((side) => `${side} in`);
  await edit({ canvas: { do: 'size', width, height } });
  await edit({ grid: { do: 'parts', columns: 4, rows: 4 } });
  await edit({ reference: { do: 'forget-head' } });
  await edit({ reference: { do: 'fit' } });
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('a painting that was taken down says so, and is shown again when it hangs again', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const ask = async (deed) => assert.ok((await fetch(`${bench.address.replace('/easel/', '/api/paintings/')}/${deed}`, {
    method: 'POST', headers: { 'content-type': 'application/json' }, body: '{}',
  })).ok, deed);
  await ask('take-down');
  await page.locator('.tag').filter({ hasText: 'It may have been taken down, moved or renamed.' }).waitFor();
  await ask('hang-again');
  await page.locator('.tag').filter({ hasText: /^$/ }).waitFor({ state: 'attached' });
  const lines = () => page.locator('.board .dark').first().getAttribute('d');
  const before_ = await lines();
  await edit({ grid: { do: 'parts', columns: 5, rows: 4 } });
  await page.waitForFunction((was) => document.querySelector('.board .dark').getAttribute('d') !== was, before_);
  await edit({ grid: { do: 'parts', columns: 4, rows: 4 } });
  assert.deepEqual(page.faults.filter((fault) => !/404|Failed to load|ERR_/.test(fault)), []);
  await page.context().close();
});

test('the value of a spot is told by a touch and by keys', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  await page.mouse.click(300, 300);
  await page.getByRole('button', { name: 'Pick a spot' }).click();
  assert.equal(await page.locator('#ledge').isVisible(), false);
  await page.mouse.click(640, 400);
  const told = page.locator('.spot-bar p');
  await page.getByText(/^Value \d\.\d: step \d of 5/).waitFor();
  assert.equal(await page.locator('#ledge').isVisible(), false);
  const [x] = await page.locator('.marks .spot').evaluate((ring) => [Number(ring.getAttribute('cx'))]);
  await page.keyboard.press('ArrowRight');
  await page.waitForFunction((was) => Number(document.querySelector('.marks .spot').getAttribute('cx')) > was, x);
  assert.match(await told.innerText(), /^Value/);
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('.spot-bar').isVisible(), false);
  assert.equal(await page.locator('.marks .spot').count(), 0);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('lines are as strong on the easel as the painter had them on the worktable', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  await edit({ print: { do: 'line-look', strength: 3, tone: 'dark' } });
  await page.locator('.board .line.dark[stroke-width="3"]').first().waitFor({ state: 'attached' });
  assert.equal(await page.locator('.board .line.light:not([d=""])').count(), 0);
  await edit({ print: { do: 'line-look', strength: 1, tone: 'both' } });
  await page.locator('.board .line.light').first().waitFor({ state: 'attached' });
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('boxes have their names at the edges of the glass, also in a mirror, and none without the grid', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const names = () => page.locator('.marks .box-name').evaluateAll((texts) => texts.map((text) => ({ name: text.textContent, x: Number(text.getAttribute('x')), y: Number(text.getAttribute('y')) })));
  const columns = async () => (await names()).filter(({ name }) => /[A-Z]/.test(name)).sort((one, other) => one.x - other.x).map(({ name }) => name).join('');
  await page.mouse.click(300, 300);
  const tap = (name) => page.getByRole('button', { name, exact: true }).click();
  await openLedge(page);
  await page.getByLabel('Size on this screen').selectOption('1:3');
  assert.equal(await columns(), 'ABCD');
  assert.deepEqual((await names()).filter(({ name }) => /\d/.test(name)).sort((one, other) => one.y - other.y).map(({ name }) => name), ['1', '2', '3', '4']);
  await tap('Mirror');
  assert.equal(await columns(), 'DCBA');
  await tap('Mirror');
  await tap('Grid');
  assert.deepEqual(await names(), []);
  await tap('Grid');
  await page.context().close();
});

test('head and detail boxes are brought into view, and the same place stays when the grid changes', async () => {
  const phone = { viewport: SCREENS.phone, hasTouch: true, deviceScaleFactor: 2 };
  await edit({ reference: { do: 'mark-head', crown: [200, 60], chin: [200, 200] } });
  await edit({ detail: { do: 'add', corner: [40, 300], size: [80, 60] } });
  await edit({ detail: { do: 'name', at: (await state()).view.details.length - 1, name: 'Hand' } });
  const page = await onScreen(phone);
  await measure(page, 330);
  const middle = async () => {
    const [left, top, width, height] = (await page.locator('.board').getAttribute('viewBox')).split(' ').map(Number);
    return [left + width / 2, top + height / 2];
  };
  assert.ok((await middle()).every((at, side) => Math.abs(at - [200, 130][side]) < 0.1), `${await middle()}`);
  await page.touchscreen.tap(150, 300);
  await openLedge(page);
  await page.getByRole('button', { name: 'Bring into view: Hand' }).click();
  const hand = await middle();
  assert.ok(hand.every((at, side) => Math.abs(at - [80, 330][side]) < 0.1), `${hand}`);
  assert.equal(await page.locator('#ledge').isVisible(), false);
  await page.screenshot({ path: join(OUT, 'screens', 'easel-places-phone.png') });
  await edit({ grid: { do: 'parts', columns: 7, rows: 5 } });
  await page.waitForFunction(() => document.querySelectorAll('.marks .box-name').length > 0 && document.querySelector('.tag').textContent.includes('the grid divides'));
  assert.deepEqual(await middle(), hand);
  // Two steps there and two back come to the same place, also past the canvas's end.
  const at = async () => (await page.locator('.board').getAttribute('viewBox')).split(' ')[1];
  await page.keyboard.press('ArrowUp');
  const first = await at();
  for (const key of ['ArrowUp', 'ArrowUp', 'ArrowDown', 'ArrowDown']) await page.keyboard.press(key);
  assert.equal(await at(), first);
  await page.touchscreen.tap(150, 300);
  await page.getByRole('button', { name: 'Bring into view: Head' }).click();
  assert.ok((await middle()).every((at, side) => Math.abs(at - [200, 130][side]) < 0.1));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
