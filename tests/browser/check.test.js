// The check in the page: a photo of the canvas brought in, its outline confirmed, wrong lines told, drift told; by mouse and
// by keys; accessible, and in its place on every screen.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { CAST, OUT, PROGRAM, SCREENS, drag, fill, isSeen, lineOf, middle as middleOf, newPage, newPainting, openLine, plain, press, saved, says, sentenceOf, startBrowser, startStudio } from './studio.js';
import { assertLooks } from './looks.js';

const DEMO = join(CAST, '..');
const [RULED, HALF_DONE] = ['ruled-canvas.jpg', 'half-done.jpg'].map((name) => join(DEMO, name));
/** The cast's landmarks in its photo, by the demo's names for them. */
const LANDMARKS = JSON.parse(await readFile(join(DEMO, 'harbour-pilot.json'), 'utf8')).landmarks;

const run = promisify(execFile);
let studio, browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
  await mkdir(join(OUT, 'screens'), { recursive: true });
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** Asks the server as the page does. */
async function api(page, path, body, method = 'POST') {
  const id = new URL(page.url()).pathname.split('/').pop();
  return page.evaluate(async ([where, what, how]) => {
    const response = await fetch(where, what ? { method: how, headers: { 'content-type': 'application/json' }, body: JSON.stringify(what) } : {});
    return response.json();
  }, [`/api/paintings/${id}${path}`, body, method]);
}

async function edit(page, made) {
  const { revision } = await api(page, '');
  const answer = await api(page, '/edits', { revision, gesture: null, edit: made });
  assert.ok(answer.view, JSON.stringify(answer));
  return answer;
}

/** The demo's painting: a canvas of 12 x 16 in, the head 8 in high with its middle 6 in from the left and 6 1/2 from the top. */
async function pilot(page) {
  await newPainting(page, studio, CAST);
  await edit(page, { canvas: { do: 'size', width: '12 in', height: '16 in' } });
  const state = await api(page, '');
  const [a, b, c, d, e, f] = state.view.reference.matrix;
  const onCanvas = ({ x, y }) => [a * x + c * y + e, b * x + d * y + f];
  const named = (name) => LANDMARKS.find((landmark) => landmark.name === name);
  await edit(page, { reference: { do: 'mark-head', crown: onCanvas(named('crown')), chin: onCanvas(named('chin')) } });
  await edit(page, { reference: { do: 'head-height', height: '8 in' } });
  await edit(page, { reference: { do: 'space', side: 'left', space: '6 in' } });
  // The crown is above the head's middle by half of what the slanting head measures along the plumb line.
  const [crown, chin] = [named('crown'), named('chin')];
  const plumb = (8 * (chin.y - crown.y)) / Math.hypot(chin.x - crown.x, chin.y - crown.y);
  await edit(page, { reference: { do: 'space', side: 'top', space: `${((6.5 - plumb / 2) * 25.4).toFixed(2)} mm` } });
  return named;
}

async function bringIn(page, photo) {
  await openLine(page, 'Check');
  await page.locator('#panel-check input[type=file]').first().setInputFiles(photo);
  await page.getByRole('heading', { name: 'Where is the canvas?' }).waitFor();
  await page.locator('.stage .photo image').waitFor();
}

const confirm = async (page) => {
  await press(page, 'Yes, this is my canvas');
  await page.getByRole('button', { name: 'Back to all checks' }).waitFor({ timeout: 30000 });
};

const toldLines = async (page) => (await page.locator('.checked-line').allInnerTexts()).map(plain);

test('the ruled canvas shows its two wrong lines, and a tolerance lets them pass', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await pilot(page);
  await page.reload();
  await bringIn(page, RULED);
  await confirm(page);
  const lines = await toldLines(page);
  assert.equal(lines.length, 6);
  const off = lines.filter((line) => line.includes('off by'));
  assert.equal(off.length, 2, lines.join('\n'));
  assert.ok(off.some((line) => /^Off: vertical at 9 in off by 1\/8 in \(3\.\d mm\) to the right, give or take .*; redraw it$/.test(line)), off.join('\n'));
  assert.ok(off.some((line) => /^Off: horizontal at 8 in .*too low at the right/.test(line)), off.join('\n'));
  assert.ok(lines.slice(2).every((line) => /^True: .*true, to within/.test(line)), lines.join('\n'));
  // Two strokes for each that is off, one for each that is true.
  assert.equal(await page.locator('.stage .verdict-line.stroke.off').count(), 4);
  assert.equal(await page.locator('.stage .verdict-line.stroke.true').count(), 4);
  assert.ok(await page.locator('.stage .checked image').evaluate((image) => image.href.baseVal.includes('squared-up')));
  await says(page, 'Check', /^2 of 6 lines are off$/);
  await page.waitForLoadState('networkidle');
  await page.screenshot({ path: join(OUT, 'screens', 'laptop-check-ruled.png') });
  await fill(page, 'Let pass', '1/4');
  await says(page, 'Check', /^All 6 lines are true$/);
  assert.ok((await toldLines(page)).every((line) => line.startsWith('True: ')));
  // It is kept, and found again on opening the page anew.
  await page.reload();
  await page.locator('#panel-check .kept button').first().click();
  await page.getByRole('button', { name: 'Back to all checks' }).waitFor();
  await press(page, 'Take this check away');
  await press(page, 'Take it away for good, with its photo');
  await page.locator('#panel-check .kept li').waitFor({ state: 'detached' });
  await says(page, 'Check', /^Photograph the canvas/);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('corners are moved by keys alone, and the outline can be set anew', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await pilot(page);
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
  await pilot(page);
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

test('the half-done head is told to be too large, and its left eye low', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  const named = await pilot(page);
  const state = await api(page, '');
  const [a, b, c, d, e, f] = state.view.reference.matrix;
  const names = ['right eye, pupil', 'left eye, pupil', 'tip of the nose', 'base of the nose', 'right corner of the mouth', 'left corner of the mouth', 'right brow', 'left ear, lobe'];
  for (const name of names) {
    const { x, y } = named(name);
    await edit(page, { likeness: { do: 'landmark', name, at: [a * x + c * y + e, b * x + d * y + f] } });
  }
  await page.reload();
  await bringIn(page, HALF_DONE);
  await confirm(page);
  // Where paint hides the lines, the painting is looked at; the lines that were not seen are one entry of the list.
  assert.equal(await page.getByRole('radio', { name: 'The painting' }).isChecked(), true);
  await page.getByRole('radio', { name: 'The lines' }).check();
  assert.equal(await page.locator('.checked-line:visible').count(), 0);
  await press(page, '6 lines were not seen');
  assert.equal(await page.locator('.checked-line:visible').count(), 6);
  await press(page, '6 lines were not seen');
  await page.getByRole('radio', { name: 'The painting' }).check();
  // Each landmark is set where it is painted: 3 % too large about the head's middle, the left eye 1/8 in low.
  const { checks: [{ number }] } = await api(page, '/checks');
  const { landmarks } = await api(page, `/checks/${number}`);
  assert.equal(landmarks.length, names.length + 2);
  const head = state.view.reference.head;
  const middle = [0, 1].map((axis) => (head.crown[axis] + head.chin[axis]) / 2);
  const list = page.locator('#panel-check').getByLabel('Landmark in hand', { exact: true });
  const hung = await page.locator('.hung').boundingBox();
  const [wide, high] = [304.8, 406.4];
  // Arrow keys after a tap put right what was tapped, not the next that is in hand and not set yet.
  const saved_ = () => page.waitForResponse((response) => response.request().method() === 'PUT' && response.ok());
  await list.selectOption('left pupil');
  const tapped = saved_();
  await page.mouse.click(hung.x + hung.width * 0.6, hung.y + hung.height * 0.35);
  await tapped;
  assert.notEqual(await list.inputValue(), 'left pupil');
  const moved = saved_();
  await page.keyboard.press('Shift+ArrowRight');
  await moved;
  assert.equal(await list.inputValue(), 'left pupil');
  const { landmarks: after_ } = await api(page, `/checks/${number}`);
  assert.deepEqual(after_.filter(({ painted }) => painted).map(({ name }) => name), ['left pupil']);
  // After a drag a tap sets the one after it and moves what was dragged no more.
  const put = async () => Object.fromEntries((await api(page, `/checks/${number}`)).landmarks.map(({ name, painted }) => [name, painted]));
  const [one, other] = landmarks.filter(({ name }) => name !== 'left pupil').map(({ name }) => name);
  await list.selectOption(one);
  const grip = await middleOf(page.locator('.handle.landmark'));
  const dragged = saved_();
  await drag(page, grip, { x: grip.x + 12, y: grip.y + 9 });
  await dragged;
  const before_ = await put();
  await page.locator('#panel-check').getByText(`Now tap where the ${other} is, or drag this one again.`).waitFor();
  const next = saved_();
  await page.mouse.click(hung.x + hung.width * 0.2, hung.y + hung.height * 0.8);
  await next;
  const then = await put();
  assert.ok(Math.hypot(then[one][0] - before_[one][0], then[one][1] - before_[one][1]) < 1e-6);
  assert.ok(then[other] && !before_[other]);
  // A small move after a rest under the loupe is no tap.
  await list.selectOption(one);
  const held = await middleOf(page.locator('.handle.landmark'));
  const sent = page.waitForRequest((request) => request.method() === 'PUT');
  await page.mouse.move(held.x, held.y);
  await page.mouse.down();
  await page.waitForTimeout(400);
  await page.mouse.move(held.x + 2, held.y);
  await page.mouse.up();
  const told_ = (await sent).postDataJSON().painted;
  assert.deepEqual([told_.name, told_.by], [one, 'loupe']);
  assert.ok(Math.abs(told_.at[0] - then[one][0]) > 1e-6 && Math.abs(told_.at[1] - then[one][1]) < 1e-6, `${told_.at} ${then[one]}`);
  then[one] = told_.at;
  // Keys that move one are done with before another is taken, however quickly.
  const keyed = saved_();
  await list.selectOption(one);
  await page.locator('.handle.landmark').focus();
  await page.keyboard.press('ArrowUp');
  await list.selectOption(other);
  await page.locator('.handle.landmark').focus();
  await page.keyboard.press('ArrowUp');
  await keyed;
  await page.waitForTimeout(600);
  const last = await put();
  for (const name of [one, other]) {
    const far = Math.hypot(last[name][0] - then[name][0], last[name][1] - then[name][1]);
    assert.ok(far > 0 && far < 2, `${name} went ${far} mm`);
    const gone = saved_();
    await list.selectOption(name);
    await press(page, 'Take it away');
    await gone;
  }
  for (const { name, planned } of landmarks) {
    const painted = [0, 1].map((axis) => middle[axis] + 1.03 * (planned[axis] - middle[axis]));
    if (name === 'left pupil') painted[1] += 25.4 / 8;
    await list.selectOption(name);
    const answered = page.waitForResponse((response) => response.request().method() === 'PUT' && response.ok());
    const from = await middleOf(page.locator('.handle.landmark'));
    const onWall = ([x, y]) => ({ x: hung.x + (hung.width * x) / wide, y: hung.y + (hung.height * y) / high });
    const [start, end] = [onWall(planned), onWall(painted)];
    await drag(page, from, name === 'left pupil' ? end : { x: from.x + end.x - start.x, y: from.y + end.y - start.y });
    await answered;
  }
  const told = plain(await page.locator('#panel-check').innerText());
  const size = Number(/([\d.]+) % too large/.exec(told)?.[1]);
  assert.ok(Math.abs(size - 3) < 0.6, told);
  const first = plain(await page.locator('#panel-check .own.out').first().innerText());
  assert.match(first, /^left pupil (1\/8|3\/16) in low/, told);
  assert.match(told, /tilt of the eye line/);
  await says(page, 'Check', /too large/);
  // The ways of comparing.
  for (const way of ['Reference', 'Fade', 'Split', 'Values', 'Painting']) {
    await page.getByRole('radio', { name: way, exact: true }).check();
    assert.equal(await page.locator('.stage .checked image').count(), way === 'Reference' ? 0 : 1, way);
  }
  await page.getByRole('radio', { name: 'Values', exact: true }).check();
  assert.ok(await page.locator('.stage .checked image').evaluate(async (image) => (await fetch(image.href.baseVal)).ok));
  await page.getByRole('button', { name: 'Flick between painting and reference' }).press('Enter');
  assert.equal(await page.locator('.stage .checked image').count(), 0);
  assert.deepEqual(page.faults, []);
  await page.getByRole('radio', { name: 'Painting', exact: true }).check();
  // A later photo, in which all but the eye is put right: the course of the checks shows it.
  await press(page, 'Back to all checks');
  await bringIn(page, HALF_DONE);
  await confirm(page);
  const { checks } = await api(page, '/checks');
  let corrected;
  for (const { name, planned: [x, y] } of landmarks) {
    const painted = { name, at: [x, name === 'left pupil' ? y + 25.4 / 8 : y], screen_px_mm: 0.5 };
    corrected = await api(page, `/checks/${checks.at(-1).number}`, { painted }, 'PUT');
  }
  assert.equal(corrected.drift.own[0].name, 'left pupil');
  await press(page, 'Back to all checks');
  const course = await page.locator('.time-line svg').getAttribute('aria-label');
  assert.match(course, /^Landmarks off by .* in \(\d\.\d mm\), then .* in \(\d\.\d mm\)$/);
  const [first_, second] = [...course.matchAll(/\((\d\.\d) mm\)/g)].map(([, mm]) => Number(mm));
  assert.ok(second < first_, course);
  assert.deepEqual(page.faults, []);
  painting = page.url();
  await context.close();
});

/** The painting of the test before, whose check the looks are taken of. */
let painting;

for (const [screen, viewport] of Object.entries(SCREENS)) {
  test(`the check is accessible and in its place on a ${screen} screen`, async () => {
    const context = await browser.newContext({ viewport, hasTouch: screen !== 'laptop', bypassCSP: true });
    const page = await newPage(context, studio);
    const look = async (name) => {
      await page.waitForLoadState('networkidle').catch(() => undefined);
      await assertLooks(page, screen, `check ${name}`, join(OUT, 'screens', `${screen}-check-${name}`));
    };
    await page.goto(painting.replace(/#.*/, ''));
    await page.locator('html.laid').waitFor();
    await openLine(page, 'Check');
    await page.locator('#panel-check .kept button').first().waitFor();
    await look('list');
    await page.locator('#panel-check .kept button').last().click();
    await page.getByRole('button', { name: 'Back to all checks' }).waitFor();
    await page.waitForTimeout(400);
    await look('painting');
    await page.getByRole('radio', { name: 'Split', exact: true }).check();
    await look('split');
    await page.getByRole('radio', { name: 'The lines' }).check();
    await look('lines');
    await press(page, 'Set the outline anew');
    await page.waitForTimeout(400);
    await look('outline');
    assert.deepEqual(page.faults, []);
    await context.close();
  });
}

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

test('a check is told by the plan as it stands, and undo brings back what it said', async (t) => {
  const folder = await mkdtemp(join(tmpdir(), 'mahlstick-plan-'));
  await rm(folder, { recursive: true });
  const demo = await startStudio(folder);
  t.after(() => demo.clear());
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await newPage(context, demo);
  await page.goto(demo.address);
  await page.getByRole('link', { name: 'The harbour pilot' }).first().click();
  await says(page, 'Check', /2\.\d % too large/);
  assert.match(await lineOf(page, 'Check').innerText(), /look again/);
  const before = await sentenceOf(page, 'Check');
  await openLine(page, 'Placing');
  await fill(page, 'Head', '7');
  await says(page, 'Check', /1[67]\.\d % too large/);
  await openLine(page, 'Check');
  await page.locator('.time-line button, #panel-check li button').first().click();
  await page.locator('#panel-check p').getByText(/The plan was changed since this check was made/).waitFor();
  await page.getByRole('button', { name: /^Undo/ }).click();
  await page.waitForFunction((told) => document.querySelector('#line-check .sentence').textContent.replace(/\s+/g, ' ').trim() === told, before);
  assert.deepEqual(page.faults, []);
  await context.close();
});
