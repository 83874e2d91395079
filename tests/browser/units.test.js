// Inches and centimetres: what a painting begins with in a browser of this or that language, and what follows the unit when
// the painter changes it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { CAST, enter, fill, markHead, measureIn, newPage, newPainting, openLine, plain, saved, says, sentenceOf, startBrowser, startStudio } from './studio.js';

let studio;
let browser;
before(async () => {
  [studio, browser] = await Promise.all([startStudio(), startBrowser()]);
});
after(async () => {
  await browser?.close();
  await studio?.clear();
});

/** A page in a browser that asks for this language. */
const speaking = async (locale) => newPage(await browser.newContext({ locale }), studio);

/** Unit, canvas and paper of the painting that the page shows. */
async function begunWith(page) {
  const address = page.url().replace('/painting/', '/api/paintings/').replace(/#.*/, '');
  const { view } = await (await fetch(address)).json();
  return [view.unit, view.canvas.size, view.printing.paper];
}

/** The groups of the list of standard sizes. */
const groups = (page) => page.getByLabel('Standard sizes').locator('optgroup').evaluateAll((all) => all.map(({ label }) => label));

// Paper: Unicode CLDR, measurementData, paperSize: US-Letter in Mexico and Canada, A4 in the others.
for (const [locale, wanted] of [
  ['de-DE', ['centimetre', '40 x 50 cm', 'a4']], ['en-GB', ['centimetre', '40 x 50 cm', 'a4']], ['de', ['centimetre', '40 x 50 cm', 'a4']],
  ['en-US', ['inch', '16 x 20 in', 'letter']], ['fr-CA', ['inch', '16 x 20 in', 'letter']], ['es-MX', ['centimetre', '40 x 50 cm', 'letter']],
]) {
  test(`a painting begun in a browser that asks for ${locale} is one of ${wanted.join(', ')}`, async () => {
    const page = await speaking(locale);
    await newPainting(page, studio);
    assert.deepEqual(await begunWith(page), wanted);
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
}

test('the paper and the list of sizes follow the unit, the next painting begins in it, and a paper that was chosen stays', async () => {
  const page = await speaking('de-DE');
  await newPainting(page, studio);
  await openLine(page, 'Canvas');
  assert.deepEqual((await groups(page)).slice(0, 1), ['Centimetres']);
  assert.equal((await groups(page)).at(-1), 'Inches');
  assert.equal(plain(await page.getByText(/^That is about/).innerText()), 'That is about 15 3/4 × 19 11/16 in.');
  await page.getByLabel('Standard sizes').selectOption('50 × 70 cm');
  await says(page, 'Canvas', /^50 × 70 cm \(19 11\/16 × 27 9\/16 in\)/);
  await page.getByRole('radio', { name: 'Inches' }).check();
  await page.getByText('The sheets are printed on Letter now; choose another paper under Print.').waitFor();
  assert.equal((await groups(page))[0], 'Inches');
  assert.equal(await page.getByLabel('Standard sizes').inputValue(), '50 × 70 cm');
  await openLine(page, 'Print');
  assert.equal(await page.getByLabel('Paper').inputValue(), 'letter');
  await page.getByLabel('Paper').selectOption('tabloid');
  await saved(page);
  await openLine(page, 'Canvas');
  await measureIn(page, 'Millimetres');
  assert.equal((await begunWith(page))[2], 'tabloid');
  assert.equal(await page.getByText(/^The sheets are printed on/).count(), 0);
  await newPainting(page, studio);
  assert.deepEqual(await begunWith(page), ['millimetre', '400 x 500 mm', 'a4']);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('both sides typed into the field of one set both, and what is no size is told there', async () => {
  const page = await speaking('de-DE');
  await newPainting(page, studio);
  await openLine(page, 'Canvas');
  const [width, height] = ['Width', 'Height'].map((label) => page.locator('#panel-canvas').getByLabel(label, { exact: true }));
  for (const [field, typed, wanted] of [
    ['Width', '50x70', ['50', '70']], ['Width', '30 × 40 cm', ['30', '40']], ['Height', '240 x 300 mm', ['24', '30']], ['Width', '16x20 in', ['40.64', '50.8']],
    ['Width', '40', ['40', '50.8']], ['Height', '50 cm', ['40', '50']],
  ]) {
    await fill(page, field, typed);
    await page.waitForFunction(([across, down]) => {
      const values = [...document.querySelectorAll('#panel-canvas .field')].filter((one) => /^(Width|Height)/.test(one.textContent)).map((one) => one.querySelector('input').value);
      return values[0] === across && values[1] === down;
    }, wanted);
  }
  await fill(page, 'Width', '40 x wide');
  await page.getByText('The width “40 x wide').waitFor();
  assert.equal(await width.getAttribute('aria-invalid'), 'true');
  assert.equal(await height.inputValue(), '50');
  await fill(page, 'Width', '40');
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('smallest mass and blur are told in the unit of the painting, and what was refused is kept nowhere', async () => {
  const page = await speaking('en-US');
  await newPainting(page, studio, CAST);
  const tones = async () => {
    await openLine(page, 'Likeness');
    await page.getByRole('radio', { name: 'Values' }).check();
    await page.locator('#panel-likeness').getByRole('radio', { name: 'Value map' }).check();
  };
  const [mass, unit] = ['input', '.unit'].map((part) => page.locator('#panel-likeness .field').filter({ hasText: 'Smallest mass' }).locator(part));
  const stands = async (number, sign) => {
    await page.waitForFunction(([number_, sign_]) => {
      const field = [...document.querySelectorAll('#panel-likeness .field')].find((one) => one.textContent.startsWith('Smallest mass'));
      return field?.querySelector('input').value === number_ && field.querySelector('.unit').textContent === sign_;
    }, [number, sign]);
    assert.deepEqual([await mass.inputValue(), await unit.innerText()], [number, sign]);
  };
  await tones();
  await stands('5/64', 'in');
  await openLine(page, 'Canvas');
  await measureIn(page, 'Centimetres');
  await tones();
  await stands('2', 'mm');
  await fill(page, 'Smallest mass', '0.3 cm');
  await stands('3', 'mm');
  for (const [typed, told] of [['soft', '“soft” is not a length'], ['9 cm', 'The smallest mass is from 0 to 50 mm']]) {
    await fill(page, 'Smallest mass', typed);
    await page.getByText(told).waitFor();
  }
  await page.reload();
  await page.locator('html.laid').waitFor();
  await tones();
  await stands('3', 'mm');
  await openLine(page, 'Print');
  await page.locator('#panel-print').getByRole('radio', { name: 'Squint' }).check();
  const printed = page.locator('#panel-print .field').filter({ hasText: 'Blur' });
  assert.equal(await printed.locator('input').inputValue(), '4');
  assert.equal(await printed.locator('.unit').innerText(), 'mm');
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test('who works in millimetres reads and types millimetres everywhere', async () => {
  const page = await speaking('en-GB');
  await newPainting(page, studio, CAST);
  await openLine(page, 'Placing');
  await markHead(page);
  await openLine(page, 'Canvas');
  await measureIn(page, 'Millimetres');
  for (const [side, length] of [['Top', '400'], ['Right', '500'], ['Bottom', '402'], ['Left', '501'], ['Diagonal down ↘', '641'], ['Diagonal up ↗', '641']]) await enter(page, side, length);
  await saved(page);
  await says(page, 'Canvas', /^400 × 500 mm, measured; /);
  await openLine(page, 'Placing');
  await fill(page, 'Head', '203');
  await says(page, 'Placing', /^Head 203 mm, \d+ mm below the top edge$/);
  await openLine(page, 'Mark-up');
  await page.getByText('Readings in millimetres.').waitFor();
  await openLine(page, 'Canvas');
  assert.equal(await page.locator('#panel-canvas').getByLabel('Top', { exact: true }).inputValue(), '400');
  await page.getByLabel('Standard sizes').selectOption({ label: '30 × 40 cm' });
  await page.getByText('The six measurements were of the former canvas and went with it').waitFor();
  await says(page, 'Canvas', /^300 × 400 mm .*not measured$/);
  // The head keeps its size, and can be made as large a part of this canvas as it was of the former; undone, nothing is asked.
  const inProportion = page.getByRole('button', { name: 'Make it 152 mm, as large on this canvas as it was on the former' });
  await page.getByText('The head stays 203 mm high.').waitFor();
  await inProportion.click();
  await says(page, 'Placing', /^Head 152 mm/);
  await inProportion.waitFor({ state: 'hidden' });
  await page.getByRole('button', { name: 'Undo' }).click();
  await inProportion.waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await says(page, 'Canvas', /^400 × 500 mm/);
  assert.equal(await page.getByText(/^The head stays/).isVisible(), false);
  // Sides that are typed one after the other are one change: it is asked of the canvas before both.
  await enter(page, 'Width', '300');
  await enter(page, 'Height', '400');
  await inProportion.waitFor();
  await says(page, 'Canvas', /^300 × 400 mm/);
  for (const line of ['Placing', 'Grid', 'Mark-up', 'Print']) {
    assert.doesNotMatch(await sentenceOf(page, line), /\d cm/, line);
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
