// Landmarks, measures, proportions, values and dividers in the page: placed by tap and by keys, plotted, kept, compared.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { CAST, fill, markHead, middle, newPage, newPainting, openLine, press, saved, says, startBrowser, startStudio } from './studio.js';

let studio, browser, context, page;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
  context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  page = await newPage(context, studio);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test('landmarks are placed by a tap and by keys, and each is plotted by its box', async () => {
  await newPainting(page, studio, CAST);
  await openLine(page, 'Likeness');
  const hung = await page.locator('.hung').boundingBox();
  const tap = (across, down) => page.mouse.click(hung.x + hung.width * across, hung.y + hung.height * down);
  const list = page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true });
  for (const [name, across, down] of [['crown', 0.5, 0.16], ['chin', 0.48, 0.6]]) {
    await list.selectOption(name);
    await tap(across, down);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
  }
  await says(page, 'Likeness', /^2 landmarks, no measures/);
  assert.match(await page.locator('.plots').innerText(), /crown\s+[A-D][1-4]/);
  // The next is expected where proportion has it, and is placed there by one press.
  await list.selectOption('tip of the nose');
  await page.getByText('The tip of the nose is expected where the open mark is.').waitFor();
  await page.getByRole('button', { name: 'Place it there' }).press('Enter');
  await says(page, 'Likeness', /^3 landmarks/);
  await list.selectOption('tip of the nose');
  const before = await page.locator('.plots').innerText();
  await page.getByRole('button', { name: /^tip of the nose, placed/ }).press('Shift+ArrowDown');
  await page.waitForFunction((text) => document.querySelector('.plots').innerText !== text, before);
  assert.deepEqual(page.faults, []);
});

test('a tap beside the open mark places the landmark where the tap was', async () => {
  await newPainting(page, studio, CAST);
  await openLine(page, 'Likeness');
  const hung = await page.locator('.hung').boundingBox();
  const list = page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true });
  for (const [name, down] of [['crown', 0.16], ['chin', 0.6]]) {
    await list.selectOption(name);
    await page.mouse.click(hung.x + hung.width * 0.5, hung.y + hung.height * down);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
  }
  const mark = page.locator('.handle.landmark');
  for (const name of ['right pupil', 'tip of the nose']) {
    await list.selectOption(name);
    await page.getByText(`The ${name} is expected where the open mark is.`).waitFor();
    const expected = await middle(mark);
    const wanted = { x: expected.x + 9, y: expected.y - 12 };
    await page.mouse.click(wanted.x, wanted.y);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
    // It goes on to the next, as after any tap.
    await page.waitForFunction((one) => document.querySelector('#panel-likeness select').value !== one, name);
    await list.selectOption(name);
    await page.getByText(`The ${name} is placed.`).waitFor();
    const placed = await middle(mark);
    assert.ok(Math.hypot(placed.x - wanted.x, placed.y - wanted.y) < 1.5, `${name}: ${JSON.stringify([expected, wanted, placed])}`);
  }
  assert.deepEqual(page.faults, []);
});

test('a landmark that undo takes back is in hand again', async () => {
  await newPainting(page, studio, CAST);
  await openLine(page, 'Likeness');
  const hung = await page.locator('.hung').boundingBox();
  const list = page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true });
  for (const [name, down] of [['crown', 0.16], ['chin', 0.6], ['brow', 0.3]]) {
    await list.selectOption(name);
    await page.mouse.click(hung.x + hung.width * 0.5, hung.y + hung.height * down);
    await page.locator('.plots').getByRole('button', { name: `Take ${name} in hand` }).waitFor();
  }
  await page.waitForFunction(() => document.querySelector('#panel-likeness select').value !== 'brow');
  await page.getByRole('button', { name: /^Undo/ }).click();
  await page.waitForFunction(() => document.querySelector('#panel-likeness select').value === 'brow');
  assert.deepEqual(page.faults, []);
});

test('a measure is taken, becomes the unit, and is kept', async () => {
  await page.getByRole('radio', { name: 'Measures' }).check();
  await page.getByLabel('What it is').fill('Width of an eye');
  await page.getByLabel('What it is').press('Tab');
  await page.getByRole('button', { name: 'Take a measure', exact: true }).click();
  await page.locator('.kept').getByText('Width of an eye').waitFor();
  await page.getByRole('button', { name: 'Take a measure', exact: true }).click();
  await page.locator('.kept').getByText('Measure 1').waitFor();
  await page.getByRole('button', { name: 'State the others in terms of Width of an eye' }).click();
  await page.getByText('1.00 times Width of an eye').waitFor();
  await says(page, 'Likeness', /2 measures$/);
  await page.getByRole('radio', { name: 'Proportions' }).check();
  await page.getByText(/^The camera stood about/).waitFor();
  assert.deepEqual(page.faults, []);
});

test('a measure is drawn on the picture, its ends on the landmarks near them, and a tap sets the end in hand', async () => {
  await page.getByRole('radio', { name: 'Measures' }).check();
  const hung = await page.locator('.hung').boundingBox();
  const at = ([across, down]) => [hung.x + hung.width * across, hung.y + hung.height * down];
  const draw = async (from, to) => {
    await page.mouse.move(...at(from));
    await page.mouse.down();
    await page.mouse.move(...at(to), { steps: 4 });
  };
  await fill(page, 'What it is', 'Jaw');
  await draw([0.3, 0.7], [0.7, 0.72]);
  // It is told while it is drawn; given up, nothing is kept.
  await page.locator('.kept').getByText('Jaw', { exact: true }).waitFor();
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await page.locator('.kept').getByText('Jaw', { exact: true }).waitFor({ state: 'detached' });
  await draw([0.3, 0.7], [0.7, 0.72]);
  await page.mouse.up();
  await saved(page);
  const jaw = page.locator('.kept li').filter({ hasText: 'Jaw' }).locator('p').first();
  await jaw.waitFor();
  assert.equal(await page.getByLabel('What it is').inputValue(), '');
  const drawn = await jaw.innerText();
  await page.locator('#panel-likeness').getByRole('radio', { name: 'The other', exact: true }).check();
  await page.mouse.click(...at([0.6, 0.72]));
  await page.waitForFunction((was) => [...document.querySelectorAll('.kept li')].every((item) => item.querySelector('p').innerText !== was), drawn);
  await press(page, 'Take Jaw away');
  await jaw.waitFor({ state: 'detached' });
  // A name that another measure has is made another: that one is not written over.
  const count = () => page.locator('.kept li').count();
  const before_ = await count();
  for (let taken = 1; taken <= 2; taken += 1) {
    await fill(page, 'What it is', 'Twice');
    await draw([0.3, 0.6 + taken / 20], [0.7, 0.6]);
    await page.mouse.up();
    await saved(page);
    await page.waitForFunction((many) => document.querySelectorAll('.kept li').length === many, before_ + taken);
  }
  for (const name of ['Twice', 'Twice 2']) await press(page, `Take ${name} away`);
  // From landmark to landmark, near enough to each.
  await page.locator('#panel-likeness').getByRole('radio', { name: 'Landmarks', exact: true }).check();
  const marks = await page.locator('.plots th button').allInnerTexts();
  const place = async (name) => {
    await page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true }).selectOption(name);
    const box = await page.getByRole('button', { name: new RegExp(`^${name}, placed`) }).boundingBox();
    return [(box.x + box.width / 2 - hung.x) / hung.width, (box.y + box.height / 2 - hung.y) / hung.height];
  };
  assert.ok(marks.includes('crown') && marks.includes('chin'), marks.join());
  const [crown, chin] = [await place('crown'), await place('chin')];
  await page.getByRole('radio', { name: 'Measures' }).check();
  await draw([crown[0] + 0.005, crown[1]], [chin[0], chin[1] + 0.005]);
  await page.mouse.up();
  await saved(page);
  for (const [end, name] of [['One end is on', 'crown'], ['The other end is on', 'chin']]) {
    await page.waitForFunction(([label, wanted]) => [...document.querySelectorAll('#panel-likeness label')].some((one) => one.textContent === label && document.getElementById(one.htmlFor).value === wanted), [end, name]);
  }
  assert.deepEqual(page.faults, []);
});

test('a measure between landmarks is renamed, and follows a landmark that is moved', async () => {
  await page.getByRole('radio', { name: 'Measures' }).check();
  // The measure that was taken last is in hand.
  await fill(page, 'Its name', 'Head');
  await page.locator('.kept').getByText('Head', { exact: true }).waitFor();
  await page.getByLabel('One end is on', { exact: true }).selectOption('crown');
  await saved(page);
  await page.getByLabel('The other end is on', { exact: true }).selectOption('chin');
  await saved(page);
  const head = page.locator('.kept li').filter({ hasText: 'Head' }).locator('p').first();
  const before_ = await head.innerText();
  await page.getByRole('radio', { name: 'Landmarks' }).check();
  await page.locator('#panel-likeness').getByLabel('Landmark in hand', { exact: true }).selectOption('chin');
  await page.getByRole('button', { name: /^chin, placed/ }).press('Shift+ArrowDown');
  await page.getByRole('radio', { name: 'Measures' }).check();
  await page.waitForFunction((was) => [...document.querySelectorAll('.kept li')].some((item) => item.textContent.startsWith('Head') && item.querySelector('p').innerText !== was), before_);
  // An arrow key takes the end off its landmark.
  const edited = page.waitForResponse(/\/edits$/);
  await page.getByRole('button', { name: /^The other end of the measure/ }).press('ArrowDown');
  await edited;
  await saved(page);
  await page.locator('.kept').getByText('Head', { exact: true }).waitFor();
  assert.equal(await page.getByLabel('The other end is on', { exact: true }).inputValue(), '');
  assert.deepEqual(page.faults, []);
});

/** The slider of the value map's steps, by how many there are. */
const steps = (label) => page.locator('#panel-likeness').getByLabel(label);

/** The address of the picture over the photo, once it is there and shown. */
async function tonedPicture() {
  await page.locator('.toned:not([hidden]) image').waitFor({ state: 'attached' });
  return page.locator('.toned image').getAttribute('href');
}

test('the photo is seen as greys, a value map and a squint, and compared by holding or tapping', async () => {
  await page.getByRole('radio', { name: 'Values' }).check();
  const map = await tonedPicture();
  assert.equal(await page.locator('.value-strip li').count(), 5);
  await steps('5 steps').press('ArrowLeft');
  await page.waitForFunction((was) => document.querySelector('.toned image')?.getAttribute('href') !== was, map);
  assert.deepEqual(await page.locator('.value-strip li').allInnerTexts(), ['9', '6.3', '3.7', '1']);
  const isShown = () => page.locator('.toned').evaluate((layer) => !layer.hasAttribute('hidden'));
  const compare = page.getByRole('button', { name: 'Compare' });
  // Held, it goes back when it is let go; tapped, it stays until it is tapped again.
  const box = await compare.boundingBox();
  await page.mouse.move(box.x + 5, box.y + 5);
  await page.mouse.down();
  assert.equal(await isShown(), false);
  await page.waitForTimeout(450);
  await page.mouse.up();
  assert.equal(await isShown(), true);
  await compare.click();
  assert.deepEqual([await isShown(), await compare.getAttribute('aria-pressed')], [false, 'true']);
  await compare.press('Enter');
  assert.equal(await isShown(), true);
  await page.locator('#panel-likeness').getByRole('radio', { name: 'Squint' }).check();
  await fill(page, 'Blur', '1/4 in');
  await page.waitForFunction(() => document.querySelector('.toned')?.getAttribute('data-of')?.endsWith('squint:1/4 in'));
  await fill(page, 'Blur', '9 in');
  await page.getByText('The blur is from 0.1 to 100 mm').waitFor();
  await fill(page, 'Blur', '1/4 in');
  assert.equal(await page.locator('.value-strip').isVisible(), false);
  await page.locator('#panel-likeness').getByRole('radio', { name: 'Photo', exact: true }).check();
  assert.equal(await isShown(), false);
  assert.deepEqual(page.faults, []);
});

test('a spot is picked by a tap and moved by keys, and its value and step are told', async () => {
  await page.locator('#panel-likeness').getByRole('radio', { name: 'Value map' }).check();
  const hung = await page.locator('.hung').boundingBox();
  await page.mouse.click(hung.x + hung.width * 0.5, hung.y + hung.height * 0.4);
  const says_ = page.getByText(/^Value \d\.\d: step \d of 4, which stands for value/);
  await says_.waitFor();
  assert.equal(await page.locator('.value-strip .picked').count(), 1);
  // Ten sixteenths of an inch to the left, as everywhere on the canvas.
  const askedAt = async (act) => {
    const asked = page.waitForRequest(/\/spot\?/);
    await act();
    return Number(new URL((await asked).url()).searchParams.get('x'));
  };
  const first = await askedAt(() => page.mouse.click(hung.x + hung.width * 0.6, hung.y + hung.height * 0.4));
  const second = await askedAt(() => page.getByRole('button', { name: /^The spot/ }).press('Shift+ArrowLeft'));
  assert.ok(Math.abs(first - second - (10 / 16) * 25.4) < 1e-6, `${first} ${second}`);
  await says_.waitFor();
  // Beyond the canvas there is nothing to tell, though the photo may reach farther.
  await page.mouse.click(hung.x - 20, hung.y + 100);
  await page.getByText('That spot lies beyond the canvas.').waitFor();
  assert.equal(await page.locator('.value-strip .picked').count(), 0);
  await openLine(page, 'Grid');
  assert.equal(await page.locator('.toned').evaluate((layer) => layer.hasAttribute('hidden')), true, 'the other lines see the photo');
  assert.deepEqual(page.faults, []);
});

test('what is being made can be stopped', async () => {
  await openLine(page, 'Likeness');
  let let_go;
  const held = new Promise((resolve) => { let_go = resolve; });
  await page.route('**/toned.jpg*values%3A9*', async (route) => {
    await held;
    await route.continue().catch(() => undefined);
  });
  await steps('4 steps').fill('9');
  await page.getByText('Value map: the picture is being made.').waitFor();
  await press(page, 'Stop');
  await page.getByText('Stopped.').waitFor();
  let_go();
  await steps('9 steps').fill('5');
  await page.waitForFunction(() => document.querySelector('.toned')?.getAttribute('data-of')?.includes('values:5'));
  assert.deepEqual(page.faults, []);
});

test('dividers are set for a ratio and for this screen, with the pivot of one’s own pair', async () => {
  await page.getByRole('radio', { name: 'Dividers' }).check();
  await page.getByText('Set the dividers to 2 to 1: the wide points measure the canvas.').waitFor();
  await fill(page, 'Length of your dividers', '12');
  await page.getByText('On dividers of 12 in the pivot sits 8 in from the wide points and 4 in from the narrow ones.').waitFor();
  await page.getByLabel('Picture to canvas').fill('half');
  await page.getByLabel('Picture to canvas').press('Enter');
  await page.getByText('“half” is not a ratio').waitFor();
  assert.equal(await page.getByText(/^Set the dividers to/).isVisible(), false, 'no setting for another ratio stands there');
  await page.getByLabel('Picture to canvas').press('Escape');
  await page.getByText('Set the dividers to 2 to 1').waitFor();
  await fill(page, 'Picture to canvas', '2:3');
  await page.getByText('Set the dividers to 1.5 to 1').waitFor();
  await page.getByRole('radio', { name: 'On this screen, as large as it is now' }).check();
  await page.getByText('This screen is not measured yet.').waitFor();
  // Measured on the easel at 4 pixels to the millimetre, the canvas on the wall is so much smaller than it is.
  await page.evaluate(() => {
    const name = `${[screen.width, screen.height].sort((a, b) => a - b).join('x')} at ${devicePixelRatio}`;
    localStorage.setItem('mahlstick screens', JSON.stringify({ [name]: { perMm: 4, error: 0.001 } }));
  });
  await page.getByRole('radio', { name: 'At a ratio' }).check();
  await page.getByRole('radio', { name: 'On this screen, as large as it is now' }).check();
  const hung = await page.locator('.hung').boundingBox();
  const setting = (16 * 25.4 * 4) / hung.width;
  const told = await page.getByText(/^Picture to canvas .* Set the dividers to/).innerText();
  assert.ok(Math.abs(Number(/dividers to ([\d.]+) to 1/.exec(told)?.[1]) - setting) < 0.02, `${told} ${setting}`);
  assert.deepEqual(page.faults, []);
});

/** A grey picture that no camera has taken. */
async function unlensed() {
  const blank = await context.newPage();
  const hex = await blank.evaluate(async () => {
    const canvas = new OffscreenCanvas(900, 1200);
    const pen = canvas.getContext('2d');
    pen.fillStyle = '#888';
    pen.fillRect(0, 0, canvas.width, canvas.height);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/png' })).arrayBuffer());
    return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  });
  await blank.close();
  return { name: 'grey.png', mimeType: 'image/png', buffer: Buffer.from(hex, 'hex') };
}

test('the lens that was typed stays in its field, and is taken back by emptying it', async () => {
  await newPainting(page, studio, await unlensed());
  await openLine(page, 'Placing');
  await markHead(page);
  await openLine(page, 'Likeness');
  await page.getByRole('radio', { name: 'Proportions' }).check();
  const lens = page.getByLabel('Lens, as on 35 mm film');
  const camera = page.getByText(/^The camera stood about/);
  await fill(page, 'Lens, as on 35 mm film', '85');
  assert.equal(await lens.inputValue(), '85');
  await camera.waitFor();
  await fill(page, 'Lens, as on 35 mm film', '50');
  assert.equal(await lens.inputValue(), '50');
  await fill(page, 'Lens, as on 35 mm film', '');
  assert.equal(await lens.inputValue(), '');
  assert.equal(await camera.count(), 0);
  assert.deepEqual(page.faults, []);
});
