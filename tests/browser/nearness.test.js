// The wall looked at from nearer: by buttons, the wheel, two fingers, the small map and keys; what is set there lies where it was set.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { CAST, markHead, middle, newPage, newPainting, openLine, says, startBrowser, startStudio } from './studio.js';

let studio, browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** A painting whose head is marked, open at its landmarks. */
async function landmarks(options) {
  const context = await browser.newContext(options);
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await openLine(page, 'Likeness');
  const wall = await page.locator('.wall').boundingBox();
  const hung = () => page.locator('.hung').boundingBox();
  return { context, page, wall, hung };
}

/** Where a point of the wall lies on the canvas, in shares of it. */
const shareOf = (hung, { x, y }) => [(x - hung.x) / hung.width, (y - hung.y) / hung.height];
/** Sends touches as fingers do. */
async function fingersOn(context, page) {
  const cdp = await context.newCDPSession(page);
  return (type, ...points) => cdp.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
}

/** How many edits the page has sent, also those that are still on their way. */
function editsOf(page) {
  const sent = { count: 0 };
  page.on('request', (request) => { if (request.url().endsWith('/edits')) sent.count += 1; });
  return sent;
}

const near = (one, other, within) => one.every((value, at) => Math.abs(value - other[at]) < within);

test('the wheel comes nearer about the pointer, a drag moves the wall and sets nothing, a tap sets the landmark where it is', async () => {
  const { context, page, wall, hung } = await landmarks({ viewport: { width: 1280, height: 800 } });
  const whole = await hung();
  const edits = editsOf(page);
  const eye = { x: whole.x + whole.width * 0.45, y: whole.y + whole.height * 0.35 };
  const before = shareOf(whole, eye);
  await page.mouse.move(eye.x, eye.y);
  for (let notch = 0; notch < 8; notch += 1) await page.mouse.wheel(0, -100);
  await page.waitForFunction((wide) => document.querySelector('.hung').getBoundingClientRect().width > 4 * wide, whole.width);
  assert.ok(near(shareOf(await hung(), eye), before, 0.002), 'what the pointer is on stays under it');
  // The finer picture is fetched.
  await page.locator('.stage .picture image').nth(1).waitFor({ state: 'attached' });
  const to = { x: eye.x - 140, y: eye.y + 60 };
  await page.mouse.move(eye.x, eye.y);
  await page.mouse.down();
  await page.mouse.move(eye.x - 70, eye.y + 30, { steps: 4 });
  await page.mouse.move(to.x, to.y, { steps: 4 });
  await page.mouse.up();
  assert.ok(near(shareOf(await hung(), to), before, 0.002), 'the wall went with the finger');
  await page.waitForTimeout(500);
  assert.equal(edits.count, 0, 'a drag sets nothing');
  const list = page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true });
  await list.selectOption('right pupil');
  // A hand that trembles taps all the same.
  await page.mouse.move(to.x, to.y);
  await page.mouse.down();
  for (const off of [1, 2, 1, 2, 1, 2, 1, 0]) await page.mouse.move(to.x + off, to.y);
  await page.mouse.up();
  await page.locator('.plots').getByRole('button', { name: 'Take right pupil in hand' }).waitFor();
  const id = new URL(page.url()).pathname.split('/').pop();
  const state = await page.evaluate(async (path) => (await fetch(path)).json(), `/api/paintings/${id}`);
  const set = state.view.likeness.landmarks.find(({ name }) => name === 'right pupil').at;
  const [, , [wide, high]] = state.view.canvas.outline;
  assert.ok(near([set[0] / wide, set[1] / high], before, 0.002), `${set}`);
  // What is taken in hand and lies out of sight is brought into it.
  await page.getByRole('button', { name: 'Look nearer' }).press('Enter');
  await list.selectOption('chin');
  const chin = await middle(page.locator('.handle.landmark'));
  assert.ok(chin.x > wall.x && chin.x < wall.x + wall.width && chin.y > wall.y && chin.y < wall.y + wall.height, JSON.stringify(chin));
  // In another line of the notebook it is still so near; whole again, it is where it was.
  await openLine(page, 'Grid');
  assert.ok((await hung()).width > 4 * whole.width);
  await page.getByRole('button', { name: 'See it whole' }).press('Enter');
  assert.ok(await page.getByRole('button', { name: 'Look nearer' }).evaluate((one) => one === document.activeElement));
  assert.ok(near(Object.values(await hung()), Object.values(whole), 0.6));
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('by keys alone: nearer, and the small map moved by arrow keys', async () => {
  const { context, page, hung } = await landmarks({ viewport: { width: 1024, height: 768 } });
  const map = page.getByRole('group', { name: /^What is seen of the whole/ });
  assert.equal(await map.count(), 0);
  for (let times = 0; times < 3; times += 1) await page.getByRole('button', { name: 'Look nearer' }).press('Enter');
  const before = await hung();
  await map.press('ArrowDown');
  await map.press('ArrowRight');
  const after_ = await hung();
  assert.ok(after_.x < before.x && after_.y < before.y, JSON.stringify([before, after_]));
  // It ends at the canvas's edge: its middle is the last that is looked at.
  for (let times = 0; times < 30; times += 1) await map.press('ArrowDown');
  const { y, height } = await hung();
  const wall = await page.locator('.wall').boundingBox();
  assert.ok(Math.abs(y + height - (wall.y + wall.height / 2)) < 1);
  // The wheel reaches it over the map too, and the focus does not fall with what goes.
  await map.hover();
  for (let notch = 0; notch < 20; notch += 1) await page.mouse.wheel(0, 100);
  await map.waitFor({ state: 'hidden' });
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-label')), 'Look nearer');
  // No nearer than there is sense in.
  for (let times = 0; times < 12; times += 1) await page.getByRole('button', { name: 'Look nearer' }).press('Enter');
  assert.equal(await page.getByRole('button', { name: 'Look nearer' }).getAttribute('aria-disabled'), 'true');
  await page.getByRole('status').filter({ hasText: '12.0 times as large as the whole' }).waitFor({ state: 'attached' });
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('with crown or chin in hand the wheel looks nearer, with the photo in hand it makes that larger', async () => {
  const { context, page, hung } = await landmarks({ viewport: { width: 1280, height: 800 } });
  await openLine(page, 'Placing');
  const head = page.getByLabel('Head', { exact: true });
  const [whole, height] = [await hung(), await head.inputValue()];
  await page.locator('#panel-placing').getByRole('radio', { name: 'Crown' }).check();
  await page.mouse.move(whole.x + whole.width / 2, whole.y + whole.height / 2);
  await page.mouse.wheel(0, -300);
  await page.waitForFunction((wide) => document.querySelector('.hung').getBoundingClientRect().width > 1.5 * wide, whole.width);
  await page.waitForTimeout(500);
  assert.equal(await head.inputValue(), height);
  await page.locator('#panel-placing').getByRole('radio', { name: 'Photo' }).check();
  const before = await hung();
  await page.mouse.move(whole.x + whole.width / 2, whole.y + whole.height / 2);
  await page.mouse.wheel(0, -300);
  await page.waitForFunction((was) => [...document.querySelectorAll('#panel-placing .middle input')].some(({ value }) => value !== was), height);
  assert.equal((await hung()).width, before.width);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('figures beside the head stay whole while near', async () => {
  const { context, page, wall } = await landmarks({ viewport: { width: 1280, height: 800 } });
  await openLine(page, 'Placing');
  const cut = () => page.locator('.wall').evaluate((element) => {
    const room = element.getBoundingClientRect();
    const figures = [...element.querySelectorAll('svg text.over-picture')].map((text) => text.getBoundingClientRect());
    return [figures.length, figures.filter(({ left, right, top, bottom }) => left < room.left || right > room.right || top < room.top || bottom > room.bottom).length];
  });
  await page.locator('#panel-placing').getByRole('radio', { name: 'Crown' }).check();
  assert.deepEqual(await cut(), [5, 0]);
  const { x, y, width, height } = wall;
  for (const [across, down] of [[0.5, 0.3], [0.3, 0.6], [0.75, 0.5]]) {
    const whole = page.getByRole('button', { name: 'See it whole' });
    if (await whole.isVisible()) await whole.click();
    await page.mouse.move(x + width * across, y + height * down);
    for (let notch = 0; notch < 4; notch += 1) await page.mouse.wheel(0, -100);
    await page.waitForTimeout(300);
    const [figures, over] = await cut();
    assert.ok(figures > 0, 'some are seen');
    assert.equal(over, 0, `none is cut at ${across}, ${down}`);
  }
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a finger that slips with crown in hand, or is joined by a second, leaves the crown in hand and the photo as it is', async () => {
  const { context, page, wall, hung } = await landmarks({ viewport: { width: 820, height: 1180 }, hasTouch: true });
  await openLine(page, 'Placing');
  const crown = page.locator('#panel-placing').getByRole('radio', { name: 'Crown' });
  await crown.check();
  const touch = await fingersOn(context, page);
  const [x, y] = [wall.x + wall.width * 0.5, wall.y + wall.height * 0.25];
  const head = page.getByLabel('Head', { exact: true });
  const [whole, height] = [await hung(), await head.inputValue()];
  // The first finger slides before the second is down.
  await touch('touchStart', [x - 30, y]);
  for (let slid = 0; slid <= 9; slid += 3) await touch('touchMove', [x - 30 - slid, y]);
  await touch('touchStart', [x - 39, y], [x + 40, y]);
  for (let apart = 0; apart < 60; apart += 6) await touch('touchMove', [x - 39 - apart, y], [x + 40 + apart, y]);
  await touch('touchEnd');
  await page.waitForFunction((wide) => document.querySelector('.hung').getBoundingClientRect().width > 1.3 * wide, whole.width);
  await page.waitForTimeout(600);
  assert.equal(await head.inputValue(), height);
  assert.ok(await crown.isChecked());
  // A tap that slips a little leaves it in hand too.
  await touch('touchStart', [x, y]);
  for (let slid = 2; slid <= 8; slid += 2) await touch('touchMove', [x + slid, y]);
  await touch('touchEnd');
  await page.waitForTimeout(600);
  assert.ok(await crown.isChecked());
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('two fingers bring the wall nearer and set nothing', async () => {
  const { context, page, wall, hung } = await landmarks({ viewport: { width: 820, height: 1180 }, hasTouch: true });
  const whole = await hung();
  const edits = editsOf(page);
  const touch = await fingersOn(context, page);
  /** Two fingers that come down one after the other about a place, and part. */
  const pinch = async ({ x, y }, from, to) => {
    const at = (apart) => [[x - apart, y], [x + apart, y]];
    await touch('touchStart', at(from)[0]);
    await touch('touchStart', ...at(from));
    for (let apart = from + 10; apart <= to; apart += 10) await touch('touchMove', ...at(apart));
    await touch('touchEnd');
  };
  await pinch({ x: wall.x + wall.width / 2, y: wall.y + wall.height / 2 }, 40, 120);
  const nearer = await hung();
  assert.ok(Math.abs(nearer.width / whole.width - 3) < 0.15, `${nearer.width / whole.width}`);
  // Also where one of them is on the mark in hand.
  await page.getByRole('button', { name: 'See it whole' }).tap();
  const mark = await middle(page.locator('.handle.landmark'));
  await pinch({ x: mark.x + 30, y: mark.y }, 30, 90);
  assert.ok(Math.abs((await hung()).width / whole.width - 3) < 0.3);
  // And where a finger would draw: a measure.
  await page.getByRole('button', { name: 'See it whole' }).tap();
  await page.getByRole('radio', { name: 'Measures' }).check();
  await pinch({ x: wall.x + wall.width / 2, y: wall.y + wall.height / 2 }, 40, 120);
  assert.ok(Math.abs((await hung()).width / whole.width - 3) < 0.15);
  await page.waitForTimeout(500);
  assert.equal(edits.count, 0, 'nothing was set or drawn');
  await page.getByRole('radio', { name: 'Landmarks' }).check();
  // One finger sets one.
  await touch('touchStart', [wall.x + wall.width / 2, wall.y + wall.height / 2]);
  await touch('touchEnd');
  await says(page, 'Likeness', /^3 landmarks/);
  assert.deepEqual(page.faults, []);
  await context.close();
});
