// The outline of a check in the page: found, moved by mouse and by keys, set by hand, refused; and the lens of a phone, measured on its card.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { mkdtemp, readFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { RULED, api, bringIn, confirm, edit, pilot, toldLines } from './check-page.js';
import { CAST, PROGRAM, SCREENS, drag, fill, isSeen, middle as middleOf, newPage, newPainting, openLine, plain, press, says, startBrowser, startStudio } from './studio.js';

const run = promisify(execFile);
let studio, browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test('corners are moved by keys alone, and the outline can be set anew', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await pilot(page, studio);
  await page.reload();
  await bringIn(page, RULED);
  const corner = page.getByRole('button', { name: /^Top left corner of the canvas\./ });
  await corner.focus();
  const before_ = await corner.evaluate((grip) => [grip.style.left, grip.style.top].map(parseFloat));
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('Shift+ArrowDown');
  const moved = await corner.evaluate((grip) => [grip.style.left, grip.style.top].map(parseFloat));
  assert.ok(moved[0] > before_[0] && moved[1] > before_[1], 'ten pixels of the photo each way');
  await page.keyboard.press('Shift+ArrowLeft');
  await page.keyboard.press('Shift+ArrowUp');
  await page.waitForTimeout(500);
  await page.getByRole('button', { name: 'Yes, this is my canvas' }).focus();
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Back to all checks' }).waitFor({ timeout: 30000 });
  assert.equal((await toldLines(page)).filter((line) => line.startsWith('Off: ')).length, 2);
  // Anew, by eight clicks.
  await press(page, 'Set the outline anew');
  await page.getByRole('checkbox', { name: /set their middles too/ }).check();
  assert.equal(await page.getByRole('button', { name: /^Middle of the .* edge\./ }).count(), 4);
  await confirm(page);
  await press(page, 'Back to all checks');
  await page.locator('#panel-check .kept li').first().waitFor();
  assert.equal(await page.locator('#panel-check .kept li').count(), 1, 'measured anew, not kept twice');
  assert.deepEqual(page.faults, []);
  await context.close();
});

/** A picture drawn anew in a blank page: a quarter turned clockwise, or with this share of its light. */
async function redrawn(page, file, { turned = false, light = 1 }) {
  const blank = await page.context().newPage();
  const hex = await blank.evaluate(async ([jpeg, quarter, share]) => {
    const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(jpeg), (letter) => letter.charCodeAt(0))]));
    const { width, height } = picture;
    const canvas = new OffscreenCanvas(quarter ? height : width, quarter ? width : height);
    const pen = canvas.getContext('2d');
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.globalAlpha = share;
    if (quarter) {
      pen.translate(height, 0);
      pen.rotate(Math.PI / 2);
    }
    pen.drawImage(picture, 0, 0);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 })).arrayBuffer());
    return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  }, [(await readFile(file)).toString('base64'), turned, light]);
  await blank.close();
  return { name: 'redrawn.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(hex, 'hex') };
}

test('of a photo that lies on its side it is said where the canvas’s top is, by keys too', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await pilot(page, studio);
  await page.reload();
  await bringIn(page, await redrawn(page, RULED, { turned: true }));
  const places = () => page.locator('.handle.corner').evaluateAll((grips) => grips.map((grip) => [parseFloat(grip.style.left), parseFloat(grip.style.top)].join()));
  // It is found as it lies; its top is first taken to be at the photo's right.
  assert.equal(await page.getByRole('radio', { name: 'At the right' }).isChecked(), true);
  const [a, b, c, d] = await places();
  await page.getByRole('radio', { name: 'At the right' }).focus();
  await page.keyboard.press('ArrowRight');
  assert.equal(await page.getByRole('radio', { name: 'At the bottom' }).isChecked(), true);
  assert.deepEqual(await places(), [b, c, d, a]);
  await page.getByRole('radio', { name: 'At the left' }).check();
  assert.deepEqual(await places(), [c, d, a, b]);
  await page.getByRole('radio', { name: 'At the right' }).check();
  await confirm(page);
  const off = (await toldLines(page)).filter((line) => line.startsWith('Off: '));
  assert.equal(off.length, 2, off.join('\n'));
  assert.ok(off.some((line) => /vertical at 9 in .* to the right/.test(line)) && off.some((line) => /horizontal at 8 in .*too low at the right/.test(line)), off.join('\n'));
  // Set anew, it is known which way round it was.
  await press(page, 'Set the outline anew');
  assert.equal(await page.getByRole('radio', { name: 'At the right' }).isChecked(), true);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a photo that shows no canvas is told so, and nothing is kept', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Check');
  await page.locator('#panel-check input[type=file]').first().setInputFiles({ name: 'black.png', mimeType: 'image/png', buffer: Buffer.from('no picture') });
  await page.locator('#panel-check .trouble:not(:empty)').first().waitFor();
  assert.deepEqual((await api(page, '/checks')).checks, []);
  assert.deepEqual(page.faults, []);
  await context.close();
});

/** A wide photo of hills under a sky, with no edge in it. */
async function landscape(page) {
  const blank = await page.context().newPage();
  const hex = await blank.evaluate(async ([width, height]) => {
    const canvas = new OffscreenCanvas(width, height);
    const pen = canvas.getContext('2d');
    const sky = pen.createLinearGradient(0, 0, 0.3 * width, height);
    sky.addColorStop(0, '#cfd8e6');
    sky.addColorStop(1, '#6f7a5c');
    pen.fillStyle = sky;
    pen.fillRect(0, 0, width, height);
    const hill = pen.createRadialGradient(0.7 * width, 1.2 * height, 0, 0.7 * width, 1.2 * height, height);
    hill.addColorStop(0, '#3d4a33');
    hill.addColorStop(1, '#3d4a3300');
    pen.fillStyle = hill;
    pen.fillRect(0, 0, width, height);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.92 })).arrayBuffer());
    return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  }, WIDE);
  await blank.close();
  return { name: 'hills.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(hex, 'hex') };
}
/** Its size in pixels. */
const WIDE = [2400, 1350];

test('where no canvas was found nothing is measured before its corners are set, and a refusal is seen by the button', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await edit(page, { canvas: { do: 'size', width: '12 in', height: '16 in' } });
  await page.reload();
  await page.locator('html.laid').waitFor();
  await bringIn(page, await landscape(page));
  await page.getByText(/edges cannot be found/).waitFor();
  const yes = page.getByRole('button', { name: 'Yes, this is my canvas' });
  const trouble = page.locator('#panel-check .trouble:not(:empty)');
  await yes.click();
  await page.getByText('Set the corners on those of your canvas first.').waitFor();
  assert.ok(await isSeen(trouble) && await isSeen(yes));
  // To say where the canvas's top lies sets no corner.
  await page.getByRole('radio', { name: 'At the left' }).check();
  await yes.click();
  await page.getByText('Set the corners on those of your canvas first.').waitFor();
  await page.getByRole('radio', { name: 'At the top' }).check();
  // A corner is set, but the outline has another shape than the canvas.
  await page.getByRole('checkbox', { name: /set their middles too/ }).uncheck();
  await page.getByRole('button', { name: /^Top left corner of the canvas\./ }).press('Shift+ArrowRight');
  await yes.click();
  await page.getByText(/has not the shape of this canvas/).waitFor();
  assert.ok(await isSeen(trouble) && await isSeen(yes), 'seen where the button is');
  assert.deepEqual((await api(page, '/checks')).checks, []);
  // An outline of the canvas's shape, where there is no canvas: that hardly a line was seen is told first, and as nothing good.
  const image = await page.locator('.stage .photo image').boundingBox();
  const onPhoto = (x, y) => ({ x: image.x + (x / WIDE[0]) * image.width, y: image.y + (y / WIDE[1]) * image.height });
  const [left, top, right, bottom] = [750, 75, 1650, 1275];
  const corners = { 'Top left': [left, top], 'Top right': [right, top], 'Bottom right': [right, bottom], 'Bottom left': [left, bottom] };
  for (const [name, at] of Object.entries(corners)) {
    await drag(page, await middleOf(page.getByRole('button', { name: new RegExp(`^${name} corner of the canvas`) })), onPhoto(...at));
  }
  await page.getByRole('checkbox', { name: /set their middles too/ }).check();
  const middles = { top: [(left + right) / 2, top], right: [right, (top + bottom) / 2], bottom: [(left + right) / 2, bottom], left: [left, (top + bottom) / 2] };
  for (const [name, at] of Object.entries(middles)) {
    await drag(page, await middleOf(page.getByRole('button', { name: `Middle of the ${name} edge` })), onPhoto(...at));
  }
  await confirm(page);
  await says(page, 'Check', /^(None|Only \d) of the grid’s 6 lines w\w+ seen; where paint hides them, set landmarks to see what has drifted$/);
  assert.equal(await page.locator('#line-check .standing').innerText(), 'look again');
  const told = plain(await page.locator('#panel-check').innerText());
  const [few, lines] = [told.search(/(None|Only \d) of the grid’s 6 lines/), told.indexOf('On the wall each line stands')];
  assert.ok(few >= 0 && few < lines, told);
  assert.deepEqual(page.faults, []);
  await context.close();
});

/** Pixels to a millimetre of the lens card's picture. */
const CARD_PPI = 200;
const CARD_PX = CARD_PPI / 25.4;
/** The card's numbers stand so far outside their crosses, across and down, in mm. */
const NUMBER_OFF = 3.6;

/** The printed lens card as a camera square above it sees it, and where its crosses 1 to 4 are, in pixels. */
async function lensCard(page) {
  const work = await mkdtemp(join(tmpdir(), 'mahlstick-card-'));
  const pdf = join(work, 'card.pdf');
  await run(PROGRAM, ['packet', '--photo', CAST, '--canvas', '12x16in', '--only', 'card', '-o', pdf]);
  await run('pdftoppm', ['-r', String(CARD_PPI), '-jpeg', '-singlefile', pdf, join(work, 'card')]);
  const { stdout } = await run('pdftotext', ['-bbox', pdf, '-']);
  const words = [...stdout.matchAll(/xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([1-4])</g)]
    .map((found) => found.slice(1).map(Number));
  const crosses = [[1, 1, 1], [2, -1, 1], [3, -1, -1], [4, 1, -1]].map(([number, right, down]) => {
    // The sentence below the crosses names numbers too; those of the crosses stand above it.
    const [left, top, far, bottom] = words.filter((word) => word[4] === number).sort((a, b) => a[1] - b[1])[0];
    const inPixels = (points, inward) => (points / 72) * CARD_PPI + inward * NUMBER_OFF * CARD_PX;
    return { x: inPixels((left + far) / 2, right), y: inPixels((top + bottom) / 2, down) };
  });
  // No paper is as white in a photo as in the printer's file.
  return { photo: await redrawn(page, join(work, 'card.jpg'), { light: 0.8 }), crosses };
}

test('the lens of a phone is measured once on the printed lens card, kept, and forgotten when asked', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  const { photo, crosses } = await lensCard(page);
  await openLine(page, 'Check');
  await press(page, 'Measure a phone’s lens');
  await page.getByLabel('The phone’s name').fill('The phone with the cracked corner');
  await page.getByLabel('The phone’s name').blur();
  await page.locator('#panel-check .inset input[type=file]').setInputFiles(photo);
  await page.getByRole('heading', { name: 'Where are the crosses 1 to 4?' }).waitFor();
  const image = await page.locator('.stage .photo image').boundingBox();
  const { width, height } = { width: 8.5 * CARD_PPI, height: 11 * CARD_PPI };
  const grips = ['Top left', 'Top right', 'Bottom right', 'Bottom left'];
  for (const [index, name] of grips.entries()) {
    const grip = page.getByRole('button', { name: new RegExp(`^${name} corner of the canvas`) });
    const { x, y } = crosses[index];
    await drag(page, await middleOf(grip), { x: image.x + (x / width) * image.width, y: image.y + (y / height) * image.height });
  }
  await press(page, 'Measure the lens');
  const which = page.getByLabel('Taken with');
  await which.waitFor({ timeout: 30000 });
  assert.equal(plain(await which.locator('option:checked').innerText()), 'The phone with the cracked corner');
  await page.reload();
  // Kept for the next photo.
  await which.locator('option:checked', { hasText: 'The phone with the cracked corner' }).waitFor({ state: 'attached' });
  await press(page, 'Forget its lens');
  await page.getByText(/The lens card must be photographed again/).waitFor();
  await press(page, 'Forget it');
  await which.waitFor({ state: 'hidden' });
  assert.deepEqual(page.faults, []);
  await context.close();
});
