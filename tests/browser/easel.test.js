// The easel screen: what is a millimetre on the canvas is a millimetre on the glass, at every density and zoom; what fingers
// and keys do; another screen is let in and sent away.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { mkdir } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { CAST, OUT, SCREENS, newPage, newPainting, openLine, press, saved, startBrowser, startStudio } from './studio.js';

const AXE = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
/** A bank card's longer side in mm: ID-1 of ISO/IEC 7810. */
const CARD = 85.6;
/** A new canvas is 16 x 20 in, in quarters: a box is so wide, in mm. */
const BOX = (16 * 25.4) / 4;

let studio;
let browser;
let easel;
/** The easel page of a painting without a photo: the grid alone, on a ground without a dark place. */
let gridAlone;
before(async () => {
  const own = Object.values(networkInterfaces()).flat().find(({ family, internal }) => family === 'IPv4' && !internal);
  assert.ok(own, 'This computer has no address on a network, so that no second screen can be tried.');
  studio = await startStudio(undefined, [`--lan=${own.address}`]);
  browser = await startBrowser();
  await mkdir(join(OUT, 'screens'), { recursive: true });
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  gridAlone = page.url().replace('/painting/', '/easel/');
  await newPainting(page, studio, CAST);
  easel = page.url().replace('/painting/', '/easel/');
  const { view } = await (await fetch(easel.replace('/easel/', '/api/paintings/'))).json();
  assert.deepEqual([view.canvas.size, view.grid.parts], ['16 x 20 in', [4, 4]]);
  await context.close();
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** The easel page on a screen of its own. */
async function onScreen(options, address = easel) {
  const context = await browser.newContext({ viewport: SCREENS.laptop, bypassCSP: true, ...options });
  const page = await newPage(context, studio);
  await page.goto(address);
  await page.locator('html.laid').waitFor();
  return page;
}

/** Measures the screen as a painter would whose card covers so many CSS pixels; gives those in a millimetre. */
async function measure(page, cardPixels) {
  await page.getByLabel('Size of the frame').evaluate((slider, value) => {
    slider.value = String(value);
    slider.dispatchEvent(new Event('input', { bubbles: true }));
  }, cardPixels / CARD);
  const frame = await page.locator('.thing rect').evaluate((rect) => Math.max(rect.getBoundingClientRect().width, rect.getBoundingClientRect().height));
  await page.getByRole('button', { name: 'This is its size' }).click();
  return frame / CARD;
}

/** Where upright dark lines stand in a picture of the page, in pixels of the screen. */
async function uprightLines(page, y) {
  const png = (await page.screenshot()).toString('base64');
  return page.evaluate(async ([data, share]) => {
    const picture = await createImageBitmap(await (await fetch(`data:image/png;base64,${data}`)).blob());
    const pen = new OffscreenCanvas(picture.width, 1).getContext('2d');
    pen.drawImage(picture, 0, Math.round(picture.height * share), picture.width, 1, 0, 0, picture.width, 1);
    const row = pen.getImageData(0, 0, picture.width, 1).data;
    // Each line's middle, weighted by how much darker it is than wall (173) and canvas.
    const found = [];
    let [weight, sum] = [0, 0];
    for (let x = 0; x <= picture.width; x += 1) {
      const dark = x < picture.width ? Math.max(0, 165 - row[4 * x]) : 0;
      if (dark > 5) [weight, sum] = [weight + dark, sum + dark * (x + 0.5)];
      else if (weight) {
        found.push(sum / weight);
        [weight, sum] = [0, 0];
      }
    }
    return found;
  }, [png, y]);
}

// A page zoomed to 80 % at 1.5 screen pixels to the CSS pixel has 1.2 of them, and a viewport larger by as much: page zoom
// is told to the page as devicePixelRatio (CSSOM View), so that it is emulated by it.
for (const [what, ratio, zoom] of [['1', 1, 1], ['1.5', 1.5, 1], ['2', 2, 1], ['1.5 zoomed to 80 %', 1.5, 0.8], ['1.5 zoomed to 125 %', 1.5, 1.25]]) {
  test(`grid lines lie as far apart as on the canvas, within one pixel, at a pixel ratio of ${what}`, async () => {
    const viewport = { width: Math.round(SCREENS.laptop.width / zoom), height: Math.round(SCREENS.laptop.height / zoom) };
    const page = await onScreen({ viewport, deviceScaleFactor: ratio * zoom }, gridAlone);
    await page.addStyleTag({ content: '.board .light { display: none }' });
    // A card 351.3 pixels wide at no zoom: no round number of anything.
    const perMm = await measure(page, 351.3 / zoom);
    const lines = (await uprightLines(page, 0.1)).filter((x, at, all) => at === 0 || x - all[at - 1] > 50);
    assert.ok(lines.length >= 3, `only ${lines.length} lines were seen`);
    const wanted = BOX * perMm * ratio * zoom;
    for (let at = 1; at < lines.length; at += 1) {
      const apart = lines[at] - lines[at - 1];
      assert.ok(Math.abs(apart - wanted) <= 1, `${apart} pixels in place of ${wanted}`);
    }
    assert.ok(Math.abs(lines.at(-1) - lines[0] - wanted * (lines.length - 1)) <= 1, 'errors add up over the boxes');
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
}

/** The part of the canvas that is seen, in mm: left, top, width, height. */
const windowOf = (page) => page.locator('.board').evaluate((board) => board.getAttribute('viewBox').split(' ').map(Number));

const isGrey = (page) => page.locator('.board [filter]').count().then((count) => count === 1);

/** A length in mm is that of so many boxes. */
const assertBoxes = (from, to, boxes) => assert.ok(Math.abs(to - from - boxes * BOX) < 1e-6, `moved by ${to - from} mm`);

test('with keys alone the screen is measured and the picture moved by exactly one grid box', async () => {
  const page = await onScreen();
  assert.equal(await page.evaluate(() => document.activeElement.textContent), 'How large is this screen?');
  await page.getByLabel('Size of the frame').focus();
  const before_ = Number(await page.getByLabel('Size of the frame').inputValue());
  await page.keyboard.press('ArrowRight');
  const step = Number(await page.getByLabel('Size of the frame').inputValue()) - before_;
  assert.ok(step > 0 && step * CARD <= 0.26, `a fine step is ${step * CARD} pixels over the card`);
  await page.getByRole('button', { name: 'This is its size' }).focus();
  await page.keyboard.press('Enter');
  assert.equal(await page.locator('.tag').innerText(), '');
  const [left, top] = await windowOf(page);
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowDown');
  const moved = await windowOf(page);
  assertBoxes(left, moved[0], 1);
  assert.ok(Math.abs(moved[1] - top - (20 * 25.4) / 4) < 1e-6);
  await page.keyboard.press('ArrowLeft');
  await page.keyboard.press('ArrowLeft');
  assertBoxes(left, (await windowOf(page))[0], 0);
  // The ledge by key, and away again.
  await page.keyboard.press('Enter');
  assert.equal(await page.locator('#ledge').isVisible(), true);
  await page.getByRole('button', { name: 'One box right' }).focus();
  await page.keyboard.press('Enter');
  assertBoxes(left, (await windowOf(page))[0], 1);
  await page.getByRole('button', { name: 'Hold to compare' }).focus();
  await page.keyboard.down('Space');
  assert.equal(await isGrey(page), true);
  await page.keyboard.up('Space');
  assert.equal(await isGrey(page), false);
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('#ledge').isVisible(), false);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('a touch shows the ledge, a swipe moves by one box, and holding still flicks to the greys', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const [left] = await windowOf(page);
  await page.mouse.move(600, 300);
  await page.mouse.down();
  await page.mouse.move(500, 310, { steps: 4 });
  await page.mouse.up();
  assertBoxes(left, (await windowOf(page))[0], 1);
  await page.mouse.down();
  await page.locator('.board [filter]').waitFor({ state: 'attached' });
  await page.mouse.up();
  assert.equal(await isGrey(page), false);
  assert.equal(await page.locator('#ledge').isVisible(), false);
  await page.mouse.click(500, 310);
  assert.equal(await page.locator('#ledge').isVisible(), true);
  // Mirrored, the same boxes are seen.
  const boxes = () => page.locator('#ledge').getByText(/^[A-D]\d/).innerText();
  const straight = await boxes();
  assert.match(straight, /^B1 to D2/);
  await page.getByRole('button', { name: 'Mirror' }).click();
  assert.equal(await page.locator('.board > g').getAttribute('transform'), `matrix(-1 0 0 1 ${4 * BOX} 0)`);
  assert.match(await boxes(), /^B1 to D2/);
  await page.getByLabel('Size on this screen').selectOption('1:4');
  assert.match(await boxes(), /^A1 to D4/);
  await page.getByLabel('Size on this screen').selectOption('1:1');
  await page.getByRole('button', { name: 'Mirror' }).click();
  assert.equal(await boxes(), straight);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('the measure is kept on the device, and asked for again when the zoom has changed', async () => {
  const page = await onScreen();
  const perMm = await measure(page, 400.7);
  await page.reload();
  await page.locator('html.laid').waitFor();
  assert.equal(await page.locator('.measuring').isVisible(), false);
  const [, , width] = await windowOf(page);
  assert.ok(Math.abs(SCREENS.laptop.width / width - perMm) < 0.001);
  const zoomed = await page.context().newCDPSession(page);
  const zoom = (by) => zoomed.send('Emulation.setDeviceMetricsOverride', {
    width: SCREENS.laptop.width / by, height: SCREENS.laptop.height / by, screenWidth: SCREENS.laptop.width, screenHeight: SCREENS.laptop.height,
    deviceScaleFactor: by, mobile: false,
  });
  await zoom(1.25);
  await page.getByText('The zoom has changed').waitFor();
  await zoom(1);
  await page.locator('.measuring').waitFor({ state: 'hidden' });
  assert.equal(await page.locator('.tag').innerText(), '', 'the former measure holds at the former zoom');
  await page.mouse.click(300, 300);
  await page.getByLabel('Size on this screen').selectOption('1:2');
  assert.match(await page.locator('.tag').innerText(), /^Not true size: 1:2/);
  await page.context().close();
});

test('another screen is let in by its code, follows the worktable, and is sent away', async () => {
  const desk = await onScreen();
  await measure(desk, 351.3);
  await desk.mouse.click(300, 300);
  await desk.getByRole('button', { name: 'Another screen' }).click();
  await desk.getByRole('button', { name: 'Make a code' }).click();
  const address = await desk.locator('.address').innerText();
  const code = await desk.locator('.code').innerText();
  const context = await browser.newContext({ viewport: SCREENS['tablet-upright'], hasTouch: true, bypassCSP: true });
  const tablet = await newPage(context, { address: new URL(address).origin });
  await tablet.goto(address);
  await assertAccessible(tablet, 'the page that asks for the code');
  await tablet.getByLabel('Code').fill('ABCD EFGH');
  await tablet.getByRole('button', { name: 'Let in' }).click();
  await tablet.getByText('This is not the code').waitFor();
  await tablet.goto('about:blank');
  await tablet.goto(`${address}#${code.replace(' ', '')}`);
  await tablet.locator('html.laid').waitFor();
  await measure(tablet, 351.3);
  const [cookie] = await context.cookies();
  assert.deepEqual([cookie.httpOnly, cookie.sameSite], [true, 'Strict']);
  await tablet.touchscreen.tap(300, 200);
  await tablet.getByText('set the tablet’s display never to turn off').waitFor();
  assert.equal(await tablet.getByText('Back to the worktable').count(), 0);

  const lines = () => tablet.locator('.board .dark').first().getAttribute('d');
  const before_ = await lines();
  const table = await browser.newContext();
  const page = await newPage(table, studio);
  await page.goto(easel.replace('/easel/', '/painting/'));
  await page.locator('html.laid').waitFor();
  assert.equal(await page.getByRole('link', { name: 'To the easel' }).getAttribute('href'), new URL(easel).pathname);
  await openLine(page, 'Grid');
  await press(page, 'Eighths');
  await saved(page);
  await tablet.waitForFunction((was) => document.querySelector('.board .dark').getAttribute('d') !== was, before_);
  await press(page, 'Quarters');
  await saved(page);
  await table.close();

  await desk.getByRole('button', { name: 'Send screen 1 away' }).click();
  await tablet.getByText('was sent away').waitFor();
  assert.equal(await tablet.locator('.board').count(), 0);
  await assertAccessible(tablet, 'a screen that was sent away');
  assert.equal(await tablet.getByRole('link', { name: 'Enter a code' }).getAttribute('href'), '/pair');
  assert.deepEqual([desk.faults, tablet.faults], [[], []]);
  await desk.context().close();
  await context.close();
});

for (const [screen, viewport] of Object.entries(SCREENS)) {
  test(`the easel screen is accessible and in its place on a ${screen} screen`, async () => {
    // One screen of them in a dim room: the colours are the same on all.
    for (const colorScheme of screen === 'tablet-upright' ? ['light', 'dark'] : ['light']) {
      const page = await onScreen({ viewport, colorScheme, hasTouch: screen !== 'laptop', deviceScaleFactor: screen === 'laptop' ? 1 : 2 });
      const look = async (name) => {
        await page.screenshot({ path: join(OUT, 'screens', `${screen}-easel-${name}${colorScheme === 'dark' ? '-dim' : ''}.png`), scale: 'css' });
        await assertAccessible(page, `${screen} ${name} ${colorScheme}`);
        assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${name} is wider than the screen`);
      };
      await look('measuring');
      await page.getByRole('button', { name: 'This is its size' }).click();
      await page.screenshot({ path: join(OUT, 'screens', `${screen}-easel-picture.png`), scale: 'css' });
      await page.locator('.glass').click({ position: { x: 40, y: 60 } });
      await look('ledge');
      // The widest and the narrowest have the same leaf as those between.
      if (['laptop', 'phone'].includes(screen)) {
        await page.getByRole('button', { name: 'Another screen' }).click();
        await page.getByRole('button', { name: 'Make a code' }).click();
        await page.locator('.code').waitFor();
        await look('code');
      }
      assert.deepEqual(page.faults, []);
      await page.context().close();
    }
  });
}

async function assertAccessible(page, what) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.addScriptTag({ path: AXE });
  const { violations } = await page.evaluate((values) => window.axe.run(document, { runOnly: { type: 'tag', values } }), RULES);
  const told = violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html, failureSummary }) => `${html} ${failureSummary}`).join('\n')}`);
  assert.deepEqual(told, [], what);
}
