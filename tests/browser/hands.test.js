// Keyboard alone, fingers alone, and a single pointer that does not drag: each does what a mouse does.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { CAST, PHOTO, SCREENS, drag, fill, lineOf, markHead, middle, newPage, newPainting, onCanvas, openLine, press, saved, says, sentenceOf, startBrowser, startStudio } from './studio.js';

let studio;
let browser;
before(async () => {
  studio = await startStudio();
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

test('a painter with a keyboard alone places the head', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await page.getByLabel('Title of the painting').focus();
  await tabTo(page, '#line-placing');
  await page.keyboard.press('Enter');
  await tabTo(page, '#panel-placing button.next');
  await page.keyboard.press('Enter');
  assert.ok(await page.locator('.handle.crown').evaluate((mark) => mark === document.activeElement), 'the crown is in hand');
  await tabTo(page, '#panel-placing button.next');
  await page.keyboard.press('Enter');
  await says(page, 'Placing', /^Head 7 3\/8 in, 3 5\/8 in/);
  await tabTo(page, '.handle.crown');
  for (let times = 0; times < 6; times += 1) await page.keyboard.press('ArrowUp');
  await says(page, 'Placing', /^Head 7 3\/4 in, 3 1\/4 in/);
  await saved(page);
  await page.keyboard.press('Shift+ArrowDown');
  await says(page, 'Placing', /^Head 7 1\/8 in, 3 7\/8 in/);
  await saved(page);
  // The photo itself, once it is in hand, by the arrows on the canvas; quick presses are one step of the history.
  await page.locator('#panel-placing').getByRole('radio', { name: 'Crown' }).focus();
  await page.keyboard.press('ArrowLeft');
  await page.locator('.reach').focus();
  for (let times = 0; times < 4; times += 1) await page.keyboard.press('ArrowDown');
  await says(page, 'Placing', /^Head 7 1\/8 in, 4 1\/8 in/);
  await page.waitForTimeout(500);
  await saved(page);
  await page.keyboard.press('Control+z');
  await says(page, 'Placing', /^Head 7 1\/8 in, 3 7\/8 in/);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('marks that are put right change the head’s height, and what it was said to be is offered again', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await fill(page, 'Head', '8');
  await says(page, 'Placing', /^Head 8 in/);
  const again = page.getByRole('button', { name: 'Make it 8 in again' });
  assert.equal(await again.isVisible(), false);
  await page.locator('.handle.crown').press('Shift+ArrowDown');
  await again.waitFor();
  const between = await page.getByLabel('Head', { exact: true }).inputValue();
  assert.notEqual(between, '8');
  // Marks that are put right once more are held against what was said, not against what came of it.
  await page.locator('.handle.chin').press('Shift+ArrowDown');
  await page.waitForFunction((was) => document.querySelector('#panel-placing .middle input').value !== was, between);
  await again.press('Enter');
  await says(page, 'Placing', /^Head 8 in/);
  await again.waitFor({ state: 'hidden' });
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('the measure lines around the head are as long as their figures, and guide lines are shown while it is placed', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await drag(page, await middle(page.getByRole('button', { name: /^Crown\. / })), await onCanvas(page, 0.55, 0.2));
  for (const [label, length] of [['Head', '8'], ['Above', '3'], ['Left', '6 1/2']]) await fill(page, label, length);
  // The first stroke of the path before each figure is the line itself, in mm of the canvas.
  const drawn = await page.locator('.overlay text').evaluateAll((texts) => texts.map((text) => {
    const [ax, ay, bx, by] = text.previousElementSibling.getAttribute('d').match(/-?[\d.]+(?:e-?\d+)?/g).map(Number);
    return [text.textContent.replace(/\s/g, ' '), Math.hypot(bx - ax, by - ay)];
  }));
  assert.equal(drawn.length, 5);
  for (const [figure, mm] of drawn) {
    const [, whole, over, under] = /^(\d+)(?: (\d+)\/(\d+))? in$/.exec(figure);
    // A figure is read to a sixteenth.
    assert.ok(Math.abs(mm / 25.4 - Number(whole) - (over ? over / under : 0)) <= 1 / 32 + 1e-6, `${figure} is drawn ${mm} mm long`);
  }
  assert.deepEqual(['8 in', '3 in', '6 1/2 in', '9 1/2 in'].filter((figure) => !drawn.some(([text]) => text === figure)), []);

  await page.getByRole('checkbox', { name: 'Thirds' }).check();
  const guides = page.locator('.stage .guides path');
  assert.ok((await guides.count()) > 0);
  await openLine(page, 'Grid');
  assert.equal(await guides.count(), 0, 'they cannot be switched off here');
  await openLine(page, 'Placing');
  assert.ok((await guides.count()) > 0);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('a photo comes by pasting, by dropping, and from the tablet’s camera', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  const bytes = [...await readFile(PHOTO)];
  /** Hands the photo to the page as a browser does when it is pasted or dropped. */
  const hand = (kind) => page.evaluate(([how, content]) => {
    const carried = new DataTransfer();
    carried.items.add(new File([new Uint8Array(content)], 'starfish.jpg', { type: 'image/jpeg' }));
    const event = how === 'paste'
      ? new ClipboardEvent('paste', { clipboardData: carried, bubbles: true, cancelable: true })
      : new DragEvent('drop', { dataTransfer: carried, bubbles: true, cancelable: true });
    document.body.dispatchEvent(event);
  }, [kind, bytes]);
  for (const kind of ['paste', 'drop']) {
    await newPainting(page, studio);
    await hand(kind);
    await says(page, 'Reference', /\d+ × \d+ pixels/);
    await saved(page);
  }
  // The camera's picture comes through a field of its own, which asks the tablet for the camera that looks away from the painter.
  await newPainting(page, studio);
  await openLine(page, 'Reference');
  await page.locator('#panel-reference input[capture=environment]').setInputFiles(PHOTO);
  await says(page, 'Reference', /\d+ × \d+ pixels/);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('on a phone the figures around the head do not lie over each other', async () => {
  const context = await browser.newContext({ viewport: SCREENS.phone, hasTouch: true, locale: 'de-DE' });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  for (const [head, above, left] of [['18.5', '9', '20'], ['23.5', '11.3', '20.1'], ['9.5', '3.3', '8.1'], ['9.5', '3.3', '32'], ['12', '35', '20']]) {
    for (const [label, length] of [['Head', head], ['Above', above], ['Left', left]]) await fill(page, label, length);
    const boxes = await page.locator('.overlay text').evaluateAll((texts) => texts.map((text) => ({ text: text.textContent, ...text.getBoundingClientRect().toJSON() })));
    assert.equal(boxes.length, 5);
    boxes.forEach((one, at) => boxes.slice(at + 1).forEach((other) => {
      // A line of type is higher than its figures.
      const [across, down] = [['left', 'right'], ['top', 'bottom']].map(([low, high]) => Math.min(one[high], other[high]) - Math.max(one[low], other[low]));
      assert.ok(across <= 0 || down <= one.height * 0.25, `head ${head}, above ${above}, left ${left}: ${one.text} and ${other.text}`);
    }));
  }
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('the head is marked once the painter has set both marks, and not while they lie where they are first laid', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  const standing = () => lineOf(page, 'Placing').locator('.standing').innerText();
  const waiting = await standing();
  await press(page, 'Mark crown and chin');
  const [crown, chin] = ['Crown', 'Chin'].map((name) => page.getByRole('button', { name: new RegExp(`^${name}\\. `) }));
  await crown.waitFor();
  assert.deepEqual([await sentenceOf(page, 'Placing'), await standing()], ['The photo leaves 6 % of the canvas open. Set crown and chin to size the head.', waiting]);
  await drag(page, await middle(crown), await onCanvas(page, 0.5, 0.2));
  assert.equal(await standing(), waiting, 'the chin is still a guess');
  // What was set of them is kept.
  await page.reload();
  await page.locator('html.laid').waitFor();
  await openLine(page, 'Placing');
  await press(page, 'Mark crown and chin');
  const [kept, wanted] = [await middle(crown), await onCanvas(page, 0.5, 0.2)];
  assert.ok(Math.hypot(kept.x - wanted.x, kept.y - wanted.y) < 1.5);
  await drag(page, await middle(chin), await onCanvas(page, 0.5, 0.6));
  await says(page, 'Placing', /^Head 8 in, 4 in below the top edge$/);
  assert.notEqual(await standing(), waiting);
  assert.equal(await page.getByRole('button', { name: 'Both lie right' }).isVisible(), false);
  await fill(page, 'Above', '-500 cm');
  await says(page, 'Placing', /^The head lies off the canvas$/);
  assert.match(await page.locator('#panel-placing').innerText(), /The head lies off the canvas\./);
  assert.match(await standing(), /look again/);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('Escape gives up the hold and puts back what was held', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  const before_ = await sentenceOf(page, 'Placing');
  const chin = page.getByRole('button', { name: /^Chin\. / });
  const [from, to] = [await middle(chin), await onCanvas(page, 0.4, 0.9)];
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(to.x, to.y, { steps: 5 });
  await page.waitForFunction((text) => document.querySelector('#line-placing .sentence')?.textContent?.replace(/\s+/g, ' ') !== text, before_);
  assert.ok(await page.locator('.loupe').isVisible(), 'the loupe shows what the finger hides');
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await page.waitForFunction((text) => document.querySelector('#line-placing .sentence')?.textContent?.replace(/\s+/g, ' ') === text, before_);
  const back = await middle(chin);
  assert.ok(Math.hypot(back.x - from.x, back.y - from.y) < 1, 'the mark is back where it was');
  await context.close();
});

test('the photo follows the pointer and the wheel, and lands where it was let go', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  const matrix = () => page.locator('.stage .picture image').last().evaluate((image) => image.transform.baseVal.consolidate().matrix.e);
  const start = await matrix();
  const [from, to] = [await onCanvas(page, 0.5, 0.5), await onCanvas(page, 0.75, 0.5)];
  await drag(page, from, to);
  // A quarter of the 16 inch canvas.
  assert.ok(Math.abs((await matrix()) - start - 101.6) < 0.5, `moved by ${(await matrix()) - start} mm`);
  await page.mouse.wheel(0, -300);
  await page.waitForTimeout(600);
  await saved(page);
  await says(page, 'Placing', /% of the canvas open/);
  await page.locator('#undo').click();
  await page.locator('#undo').click();
  await saved(page);
  await page.waitForFunction((wanted) => Math.abs([...document.querySelectorAll('.stage .picture image')].pop().transform.baseVal.consolidate().matrix.e - wanted) < 0.01, start);
  await context.close();
});

test('arrow keys on the canvas move what is in hand, and the photo is in hand once it is dragged', async () => {
  const context = await browser.newContext({ viewport: SCREENS.laptop });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  const inHand = (name) => page.locator('#panel-placing').getByRole('radio', { name, exact: true });
  const head = page.getByLabel('Head', { exact: true });
  await inHand('Chin').check();
  const before = await head.inputValue();
  await page.locator('.wall .reach').focus();
  await page.keyboard.press('Shift+ArrowDown');
  await page.waitForFunction(([field, was]) => field.value !== was, [await head.elementHandle(), before]);
  await saved(page);
  const taller = await head.inputValue();
  const at = await onCanvas(page, 0.2, 0.8);
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 30, at.y, { steps: 4 });
  await page.mouse.up();
  await saved(page);
  assert.ok(await inHand('Photo').isChecked());
  await page.keyboard.press('ArrowDown');
  await saved(page);
  assert.equal(await head.inputValue(), taller, 'the chin stays on its place of the photo');
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('every drag has a way by taps and buttons alone', async () => {
  const context = await browser.newContext({ viewport: SCREENS['tablet-level'], hasTouch: true });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await tapOption(page, 'Crown');
  const crown = await onCanvas(page, 0.5, 0.25);
  await page.touchscreen.tap(crown.x, crown.y);
  await says(page, 'Placing', / 5 in below the top edge/);
  await press(page, 'Up');
  await says(page, 'Placing', /4 15\/16 in below the top edge/);
  await saved(page);

  await openLine(page, 'Reference');
  await press(page, 'Straighten by a line');
  // A line ought to be what it is nearer to, until it is said otherwise.
  const oughtToBe = (name) => page.getByRole('radio', { name, exact: true }).isChecked();
  for (const [end, across, down] of [['One end', 0.3, 0.5], ['The other', 0.7, 0.52]]) {
    await tapOption(page, end);
    const at = await onCanvas(page, across, down);
    await page.touchscreen.tap(at.x, at.y);
  }
  assert.equal(await oughtToBe('Level'), true);
  await tapOption(page, 'The other');
  const below = await onCanvas(page, 0.5, 0.7);
  await page.touchscreen.tap(below.x, below.y);
  await tapOption(page, 'One end');
  const one = await onCanvas(page, 0.45, 0.3);
  await page.touchscreen.tap(one.x, one.y);
  assert.equal(await oughtToBe('Plumb'), true);
  // Who looks elsewhere first finds the line where it was.
  const line = () => page.locator('.stage .overlay path').first().getAttribute('d');
  const drawn = await line();
  await openLine(page, 'Placing');
  await openLine(page, 'Reference');
  await press(page, 'Straighten by a line');
  assert.equal(await line(), drawn);
  await press(page, 'Straighten');
  await says(page, 'Reference', /turned \d/);

  await press(page, 'Square up a photographed print');
  await tapOption(page, 'Bottom right');
  const corner = await middle(page.locator('.handle.corner').nth(2));
  await page.touchscreen.tap(corner.x - 30, corner.y - 20);
  await press(page, 'Square up');
  await says(page, 'Reference', /squared up/);
  await context.close();
});

test('a number is read with a comma as with a point, and what is none is told', async () => {
  const context = await browser.newContext();
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Reference');
  const turned = page.getByLabel('Turned clockwise');
  await turned.fill('2,5');
  await turned.press('Enter');
  await saved(page);
  await page.waitForFunction(() => [...document.querySelectorAll('#panel-reference input')].some((input) => input.value === '2.5'));
  await turned.fill('abc');
  await turned.press('Enter');
  await page.getByText('“abc” is not a number.').waitFor();
  await turned.fill('');
  await turned.press('Enter');
  await page.getByText('This is empty. Write a number of degrees, such as 1.5, or 0.').waitFor();
  await turned.fill('400');
  await turned.press('Enter');
  await page.getByText('A turn of 400° is more than once around. Write from -180 to 180.').waitFor();
  // Undo gives up what was refused too, and shows what stands.
  await page.getByRole('button', { name: /^Undo/ }).click();
  await saved(page);
  assert.equal(await turned.inputValue(), '0.0');
  assert.equal(await page.locator('#panel-reference .trouble:not(:empty)').count(), 0);
  await openLine(page, 'Grid');
  const columns = page.locator('#panel-grid').getByLabel('Columns', { exact: true }).first();
  await columns.fill('2.5');
  await columns.press('Enter');
  await page.getByText('“2.5” is not a whole number.').waitFor();
  await says(page, 'Grid', /^Quarters$/);
  await openLine(page, 'Canvas');
  const width = page.locator('#panel-canvas').getByLabel('Width', { exact: true });
  await width.fill('');
  await width.press('Enter');
  await page.getByText('The width is empty. Write it like 12, 12 1/2 or 30.5 cm.').waitFor();
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('two fingers scale the photo about the point between them', async () => {
  const context = await browser.newContext({ viewport: SCREENS['tablet-upright'], hasTouch: true });
  const page = await newPage(context, studio);
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  const scale = () => page.locator('.stage .picture image').last().evaluate((image) => image.transform.baseVal.consolidate().matrix.a);
  const start = await scale();
  const centre = await onCanvas(page, 0.5, 0.5);
  const touch = await context.newCDPSession(page);
  const fingers = (apart) => [{ x: centre.x - apart, y: centre.y, id: 0 }, { x: centre.x + apart, y: centre.y, id: 1 }];
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: fingers(40) });
  for (const apart of [48, 56, 64, 72, 80]) await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: fingers(apart) });
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await saved(page);
  const grown = (await scale()) / start;
  assert.ok(grown > 1.7 && grown < 2.05, `twice as far apart, ${grown.toFixed(2)} times as large`);
  assert.deepEqual(page.faults, []);
  await context.close();
});

test('on a phone an open line lies over the notebook as a sheet that is pulled up and let down', async () => {
  const context = await browser.newContext({ viewport: SCREENS.phone, hasTouch: true });
  const page = await newPage(context, studio);
  await newPainting(page, studio);
  await openLine(page, 'Canvas');
  const panel = page.locator('#panel-canvas');
  const canvas = await page.locator('.hung').boundingBox();
  const low = await panel.boundingBox();
  assert.ok(low.y >= canvas.y + canvas.height, 'the canvas is seen above the sheet');
  const grip = panel.getByRole('button', { name: 'Pull the sheet up' });
  await grip.tap();
  const high = await panel.boundingBox();
  assert.ok(high.height > low.height * 1.5, 'a tap pulls it up');
  const from = await middle(grip);
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x, from.y + 200, { steps: 4 });
  await page.mouse.up();
  assert.equal((await panel.boundingBox()).height, low.height, 'a drag lets it down');
  assert.deepEqual(await page.locator('.hung').boundingBox(), canvas, 'and the canvas never moved');
  await panel.getByRole('button', { name: 'Back to the notebook' }).tap();
  await panel.waitFor({ state: 'hidden' });
  await context.close();
});

async function tapOption(page, label) {
  await page.locator('.panel:not([hidden]) .option', { hasText: new RegExp(`^${label}$`) }).locator('visible=true').tap();
}

/** Tabs until what the selector finds has the focus, as a painter without a mouse does. */
async function tabTo(page, selector) {
  for (let presses = 0; presses < 80; presses += 1) {
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted), selector)) return;
    await page.keyboard.press('Tab');
  }
  assert.fail(`Tab does not lead to ${selector}.`);
}
