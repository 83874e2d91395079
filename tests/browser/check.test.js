// The check in the page: wrong lines told, drift told, by the plan as it stands; accessible, and in its place on every screen.

import assert from 'node:assert/strict';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { assertLooks } from './looks.js';
import { HALF_DONE, RULED, api, bringIn, confirm, edit, pilot, toldLines } from './check-page.js';
import { OUT, SCREENS, drag, fill, lineOf, middle as middleOf, newPage, openLine, plain, press, says, sentenceOf, startBrowser, startStudio } from './studio.js';

let studio, browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
  await mkdir(join(OUT, 'screens'), { recursive: true });
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test('the ruled canvas shows its two wrong lines, and a tolerance lets them pass', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await pilot(page, studio);
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

test('the half-done head is told to be too large, and its left eye low', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  const named = await pilot(page, studio);
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
  await page.locator('#panel-check p').getByText(/changed since this check was made/).waitFor();
  await page.getByRole('button', { name: /^Undo/ }).click();
  await page.waitForFunction((told) => document.querySelector('#line-check .sentence').textContent.replace(/\s+/g, ' ').trim() === told, before);
  assert.deepEqual(page.faults, []);
  await context.close();
});
