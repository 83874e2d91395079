// The easel screen: what is a millimetre on the canvas is a millimetre on the glass, at every density and zoom; what fingers
// and keys do; another screen is let in and sent away.

import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { CAST, OUT, SCREENS, newPage, newPainting, openLine, press, saved, startBrowser, startStudio } from './studio.js';
import { assertAccessible } from './looks.js';

/** A bank card's longer side in mm: ID-1 of ISO/IEC 7810. */
const CARD = 85.6;
/** A new canvas is 16 x 20 in, in quarters: a box is so wide, in mm. */
const BOX = (16 * 25.4) / 4;
/** The ledge covers no more of the screen's height than this before “More” is pressed. */
const LEDGE = 0.21;

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
  gridAlone = page.url().replace('/painting/', '/easel/').replace(/#.*/, '');
  await newPainting(page, studio, CAST);
  easel = page.url().replace('/painting/', '/easel/').replace(/#.*/, '');
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

/** Opens the whole ledge, or no more than its first rows. */
const openLedge = (page, how = 'More') => page.getByRole('button', { name: how, exact: true }).click();

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

/** The tone that the picture is shown in: `photo`, or what stands in the address that it was asked for by. */
const toneOf = (page) => page.locator('.board .toned').evaluate((image) => (image.hasAttribute('hidden') ? 'photo' : image.getAttribute('data-of').split(' ').slice(1).join(' ')));

/** Waits until the picture is shown in a tone. */
const shownIn = (page, tone) => page.waitForFunction((wanted) => {
  const image = document.querySelector('.board .toned');
  return wanted === 'photo' ? image.hasAttribute('hidden') : !image.hasAttribute('hidden') && image.getAttribute('data-of').includes(wanted);
}, tone);

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

/** The painting's state, as the server tells it. */
const stateOf = async () => (await fetch(easel.replace('/easel/', '/api/paintings/'))).json();

/** Makes an edit as the worktable would. */
async function edit(made) {
  const { revision } = await stateOf();
  const answer = await fetch(`${easel.replace('/easel/', '/api/paintings/')}/edits`, {
    method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ revision, gesture: null, edit: made }),
  });
  assert.equal(answer.status, 200, await answer.clone().text());
  return answer.json();
}

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
  const { view } = await stateOf();
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

test('while fingers have enlarged the page it says so where it is seen, and claims no true size', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const tag = page.locator('.tag');
  assert.equal(await tag.isVisible(), false);
  const glass = await page.context().newCDPSession(page);
  await glass.send('Emulation.setPageScaleFactor', { pageScaleFactor: 2 });
  await tag.filter({ hasText: 'Not true size: enlarged by a pinch.' }).waitFor();
  const { inSight, width } = await tag.evaluate((element) => {
    const { left, top, right, bottom } = element.getBoundingClientRect();
    const { offsetLeft, offsetTop, width, height } = visualViewport;
    return { width: (right - left) / width, inSight: left >= offsetLeft && top >= offsetTop && right <= offsetLeft + width && bottom <= offsetTop + height };
  });
  assert.ok(inSight && width < 0.6, `${width}`);
  await glass.send('Emulation.setPageScaleFactor', { pageScaleFactor: 1 });
  await tag.waitFor({ state: 'hidden' });
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
  await tap('Landmarks');
  await openLedge(page);
  await page.getByLabel('Size on this screen').selectOption('1:2');
  const words = page.locator('.marks text');
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
  await page.waitForFunction((was) => Number([...document.querySelectorAll('.marks text')].find((text) => text.textContent === 'chin').getAttribute('y')) > was + 20, before_[1]);
  // A touch on a landmark lets the lines go through it.
  await page.keyboard.press('Escape');
  const at = await page.locator('.marks .mark-point').nth(1).boundingBox();
  await page.mouse.click(at.x + at.width / 2, at.y + at.height / 2);
  await page.waitForFunction(() => /^M1(79|80)/.test(document.querySelector('.board .line.dark[stroke-dasharray]')?.getAttribute('d') ?? ''));
  assert.equal(await page.locator('#ledge').isVisible(), false);
  for (const name of ['crown', 'chin']) await edit({ likeness: { do: 'forget-landmark', name } });
  await page.waitForFunction(() => document.querySelectorAll('.marks text').length === 0);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('what the worktable changes about lengths is told until the picture is touched', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  const told = page.locator('.tag');
  const { view } = await stateOf();
  await edit({ grid: { do: 'parts', columns: 6, rows: 6 } });
  await page.waitForFunction(() => document.querySelectorAll('.board .dark').length > 0);
  assert.equal(await told.innerText(), '');
  await edit({ reference: { do: 'mark-head', crown: [200, 100], chin: [200, 303.2] } });
  await edit({ reference: { do: 'head-height', height: '7 in' } });
  await told.filter({ hasText: 'Changed at the worktable: the head is 7 in high; it was 8 in.' }).waitFor();
  await page.mouse.click(300, 300);
  await told.filter({ hasText: /^$/ }).waitFor({ state: 'attached' });
  await edit({ canvas: { do: 'size', width: '18 in', height: '24 in' } });
  await told.filter({ hasText: 'the canvas is 18 x 24 in; it was 16 x 20 in.' }).waitFor();
  await page.mouse.click(300, 300);
  const [width, height] = view.canvas.size.replace(' in', '').split(' x ').map((side) => `${side} in`);
  await edit({ canvas: { do: 'size', width, height } });
  await edit({ grid: { do: 'parts', columns: 4, rows: 4 } });
  await edit({ reference: { do: 'forget-head' } });
  await edit({ reference: { do: 'fit' } });
  assert.deepEqual(page.faults, []);
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

test('another screen is let in by its code, follows the worktable, and is sent away', async () => {
  const desk = await onScreen();
  await measure(desk, 351.3);
  await desk.mouse.click(300, 300);
  await openLedge(desk);
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
  await openLedge(tablet);
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

  // What the tablet may look at: tones and spots too.
  await tablet.getByRole('button', { name: 'Grey', exact: true }).click();
  await shownIn(tablet, 'grey');
  await desk.getByRole('button', { name: 'Send screen 1 away' }).click();
  await tablet.getByText('was sent away').waitFor();
  assert.equal(await tablet.locator('.board').count(), 0);
  await assertAccessible(tablet, 'a screen that was sent away');
  assert.equal(await tablet.getByRole('link', { name: 'Enter a code' }).getAttribute('href'), '/pair');
  assert.deepEqual([desk.faults, tablet.faults], [[], []]);
  // The door is shut and opened again without starting the studio anew.
  const reaches = () => fetch(address).then(() => true, () => false);
  assert.equal(await reaches(), true);
  await desk.getByRole('button', { name: 'Shut the door' }).click();
  await desk.getByText('The studio is open to this computer alone.').waitFor();
  assert.equal(await reaches(), false);
  await desk.getByRole('button', { name: 'Open the door' }).click();
  await desk.getByRole('button', { name: 'Make a code' }).click();
  await desk.locator('.code').waitFor();
  assert.equal(await fetch(await desk.locator('.address').innerText()).then((answer) => answer.status), 200);
  await desk.context().close();
  await context.close();
});

test('why the door cannot be opened stays until the next try', async () => {
  const page = await onScreen();
  await measure(page, 351.3);
  await page.mouse.click(300, 300);
  await openLedge(page);
  await page.getByRole('button', { name: 'Another screen' }).click();
  const shut = page.getByRole('button', { name: 'Shut the door' });
  if (await shut.isVisible()) await shut.click();
  // What the studio answers on a computer without a home network.
  const message = 'No home network was found. Connect this computer to it and try again.';
  await page.route('**/api/second-screens', (route) => (route.request().method() === 'PUT'
    ? route.fulfill({ status: 422, contentType: 'application/json', body: JSON.stringify({ message, state: null }) }) : route.continue()));
  const look = () => page.waitForResponse((response) => response.url().endsWith('/api/second-screens') && response.request().method() === 'GET');
  await page.getByRole('button', { name: 'Open the door' }).click();
  await page.getByText(message).waitFor();
  await look();
  await look();
  assert.equal(await page.getByText(message).isVisible(), true);
  await page.unroute('**/api/second-screens');
  await page.getByRole('button', { name: 'Open the door' }).click();
  await page.getByRole('button', { name: 'Make a code' }).waitFor();
  assert.equal(await page.getByText(message).count(), 0);
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
