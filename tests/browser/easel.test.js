// The easel screen: what is a millimetre on the canvas is a millimetre on the glass, at every density and zoom; what fingers and keys do;
// accessible and in its place on every screen.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { BOX, CARD, measure, openLedge, shownIn, startEasel, toneOf, windowOf } from './easel-page.js';
import { assertAccessible } from './looks.js';
import { OUT, SCREENS } from './studio.js';

/** The ledge covers no more of the screen's height than this before “More” is pressed. */
const LEDGE = 0.21;

let bench, edit, gridAlone, onScreen;
before(async () => {
  bench = await startEasel();
  ({ edit, gridAlone, onScreen } = bench);
});
after(async () => bench?.clear());

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
  await page.getByRole('button', { name: 'More' }).focus();
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'One box right' }).focus();
  await page.keyboard.press('Enter');
  assertBoxes(left, (await windowOf(page))[0], 1);
  await page.getByRole('button', { name: 'Compare' }).focus();
  await page.keyboard.down('Space');
  await shownIn(page, 'values:5');
  await page.waitForTimeout(400);
  await page.keyboard.up('Space');
  await shownIn(page, 'photo');
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('#ledge').isVisible(), false);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('a touch shows the ledge, a swipe moves by one box, and holding still flicks to the value map', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const [left] = await windowOf(page);
  await page.mouse.move(600, 300);
  await page.mouse.down();
  await page.mouse.move(500, 310, { steps: 4 });
  await page.mouse.up();
  assertBoxes(left, (await windowOf(page))[0], 1);
  await page.mouse.down();
  await shownIn(page, 'values:5');
  await page.mouse.up();
  assert.equal(await toneOf(page), 'photo');
  assert.equal(await page.locator('#ledge').isVisible(), false);
  await page.mouse.click(500, 310);
  assert.equal(await page.locator('#ledge').isVisible(), true);
  await openLedge(page);
  // Mirrored, the same boxes are seen.
  const boxes = () => page.locator('#ledge').getByText(/^[A-D]\d/).innerText();
  const straight = await boxes();
  assert.match(straight, /^B2 to D3/);
  await page.getByRole('button', { name: 'Mirror' }).click();
  assert.equal(await page.locator('.board > g').first().getAttribute('transform'), `matrix(-1 0 0 1 ${4 * BOX} 0)`);
  assert.match(await boxes(), /^B2 to D3/);
  await page.getByLabel('Size on this screen').selectOption('1:4');
  assert.match(await boxes(), /^A1 to D4/);
  await page.getByLabel('Size on this screen').selectOption('1:1');
  await page.getByRole('button', { name: 'Mirror' }).click();
  assert.equal(await boxes(), straight);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('the screen counts as measured only when the painter has matched the frame, or says that it matches', async () => {
  const page = await onScreen();
  const isMeasured = () => page.evaluate(() => localStorage.getItem('mahlstick screens') !== null);
  const press_ = (name) => page.getByRole('button', { name }).click();
  assert.equal(await page.getByRole('button', { name: 'It matches as it is' }).isVisible(), false);
  await press_('This is its size');
  assert.match(await page.locator('.expect').innerText(), /has not been moved yet/);
  await press_('This is its size');
  assert.equal(await isMeasured(), false);
  await press_('Not now');
  assert.match(await page.locator('.tag').innerText(), /not measured yet/);
  await page.reload();
  // One press is one step; held, it goes on until it is let go, which is no further one.
  const size = async () => Number(await page.getByLabel('Size of the frame').inputValue());
  const larger = page.getByRole('button', { name: 'A little larger' });
  const [guessed] = [await size(), await larger.click()];
  const step = (await size()) - guessed;
  await larger.hover();
  await page.mouse.down();
  await page.waitForFunction(([least]) => Number(document.querySelector('.slide input').value) > least, [guessed + 5.5 * step]);
  await page.mouse.up();
  const held = await size();
  await larger.click();
  assert.ok(step > 0 && Math.abs((await size()) - held - step) < step / 10, `${step} ${held} ${await size()}`);
  await press_('This is its size');
  assert.equal(await isMeasured(), true);
  assert.equal(await page.locator('.tag').innerText(), '');
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('the easel opens with the head in view, on the middle of the canvas without one, and stays where the painter moves it', async () => {
  const phone = { viewport: SCREENS.phone, hasTouch: true, deviceScaleFactor: 2 };
  const middleOf = ([left, top, width, height]) => [left + width / 2, top + height / 2];
  const near = (seen, wanted) => seen.every((at, side) => Math.abs(at - wanted[side]) <= BOX / 2 + 3);
  const bare = await onScreen(phone);
  await measure(bare, 330);
  assert.ok(near(middleOf(await windowOf(bare)), [(16 * 25.4) / 2, (20 * 25.4) / 2]), `${await windowOf(bare)}`);
  await bare.context().close();
  for (const head of [[[300, 40], [300, 200]], [[80, 300], [80, 450]]]) {
    await edit({ reference: { do: 'mark-head', crown: head[0], chin: head[1] } });
    const page = await onScreen(phone);
    await measure(page, 330);
    const seen = await windowOf(page);
    for (const [x, y] of head) assert.ok(x > seen[0] && x < seen[0] + seen[2] && y > seen[1] && y < seen[1] + seen[3], `${x},${y} is not in ${seen}`);
    await page.keyboard.press(head[0][0] > 200 ? 'ArrowLeft' : 'ArrowRight');
    const moved = await windowOf(page);
    assert.notEqual(moved[0], seen[0]);
    assert.equal(moved[1], seen[1]);
    await edit({ reference: { do: 'mark-head', crown: [200, 200], chin: [200, 330] } });
    await page.getByLabel(/^The picture, /).waitFor();
    assert.deepEqual(await windowOf(page), moved);
    await page.context().close();
  }
  await edit({ reference: { do: 'forget-head' } });
});

test('while fingers have enlarged the page it says so where it is seen, and claims no true size', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const tag = page.locator('.tag');
  assert.equal(await tag.isVisible(), false);
  const glass = await page.context().newCDPSession(page);
  await glass.send('Emulation.setPageScaleFactor', { pageScaleFactor: 2 });
  await tag.filter({ hasText: 'Not true size: enlarged by a pinch.' }).waitFor();
  // Locked or not, fingers can take it back.
  assert.equal(await page.locator('html.locked').count(), 0);
  const { inSight, width } = await tag.evaluate((element) => {
    const { left, top, right, bottom } = element.getBoundingClientRect();
    const { offsetLeft, offsetTop, width, height } = visualViewport;
    return { width: (right - left) / width, inSight: left >= offsetLeft && top >= offsetTop && right <= offsetLeft + width && bottom <= offsetTop + height };
  });
  assert.ok(inSight && width < 0.6, `${width}`);
  await glass.send('Emulation.setPageScaleFactor', { pageScaleFactor: 1 });
  await tag.waitFor({ state: 'hidden' });
  assert.equal(await page.locator('html.locked').count(), 1);
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
  await openLedge(page);
  await page.getByLabel('Size on this screen').selectOption('1:2');
  assert.match(await page.locator('.tag').innerText(), /^Not true size: 1:2\. Set proportional dividers to 2 to 1, the wide points on the canvas\./);
  await page.context().close();
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
      for (const thing of ['Ruler', 'Bank card']) {
        await page.getByRole('radio', { name: thing }).check();
        const { y, height } = await page.getByRole('button', { name: 'This is its size' }).boundingBox();
        assert.ok(y + height <= viewport.height, `the button for a ${thing} is below the screen`);
      }
      await page.getByRole('button', { name: 'Not now' }).click();
      await page.locator('.glass').click({ position: { x: 40, y: 60 } });
      await openLedge(page);
      assert.equal(await page.getByLabel('Size on this screen').isVisible(), false, 'no size is told of a screen that was not measured');
      await openLedge(page, 'Less');
      await page.locator('.glass').click({ position: { x: 40, y: 60 } });
      await page.reload();
      await page.getByRole('button', { name: 'This is its size' }).click();
      assert.match(await page.locator('.expect').innerText(), /has not been moved yet/);
      await look('measuring-unmoved');
      await page.getByRole('button', { name: 'It matches as it is' }).click();
      await page.screenshot({ path: join(OUT, 'screens', `${screen}-easel-picture.png`), scale: 'css' });
      await page.locator('.glass').click({ position: { x: 40, y: 60 } });
      await look('ledge');
      const { height } = await page.locator('#ledge').boundingBox();
      assert.ok(height <= viewport.height * LEDGE, `the ledge covers ${height} of ${viewport.height}`);
      await openLedge(page);
      await look('ledge-open');
      await page.getByRole('button', { name: 'Value map' }).click();
      await shownIn(page, 'values:5');
      await look('values');
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
