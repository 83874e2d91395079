// A photo that is too dark to paint from, or burnt out, is told where it is brought in and where the head is marked.

import assert from 'node:assert/strict';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { CAST, markHead, newPage, newPainting, openLine, startBrowser, startStudio } from './studio.js';

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

/** The cast in other light: its brightness times so much, on a ground of a colour beside the head. */
async function castInLight(name, brightness) {
  const plain = await context.newPage();
  const jpeg = await plain.evaluate(async ([bytes, light]) => {
    const picture = await createImageBitmap(await (await fetch(`data:image/jpeg;base64,${bytes}`)).blob(), { resizeWidth: 1500 });
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const drawing = canvas.getContext('2d');
    drawing.filter = `brightness(${light})`;
    drawing.drawImage(picture, 0, 0);
    const made = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
    let binary = '';
    for (const byte of new Uint8Array(await made.arrayBuffer())) binary += String.fromCharCode(byte);
    return btoa(binary);
  }, [readFileSync(CAST).toString('base64'), brightness]);
  await plain.close();
  const file = join(studio.folder, name);
  await writeFile(file, Buffer.from(jpeg, 'base64'));
  return file;
}

test('a dark photo is told with the photo and again of the head, a well-lit one is not', async () => {
  await newPainting(page, studio, await castInLight('dark.jpg', 0.3));
  await openLine(page, 'Reference');
  await page.locator('#panel-reference').getByText(/The photo is dark: even its lightest parts have value [0-3]\.\d of 10/).waitFor();
  await page.screenshot({ path: join(process.env.LOOKS ?? studio.folder, 'dark-photo.png') });
  await openLine(page, 'Placing');
  await markHead(page);
  await page.locator('#panel-placing').getByText(/The head is dark/).waitFor();
  await newPainting(page, studio, CAST);
  const told = page.waitForResponse(/\/exposure$/);
  await openLine(page, 'Placing');
  await markHead(page);
  assert.deepEqual(await (await told).json(), { says: null });
  assert.equal(await page.getByText(/is dark|burnt out/).count(), 0);
  assert.deepEqual(page.faults, []);
});

test('a head that is burnt out is told in per cent', async () => {
  await newPainting(page, studio, await castInLight('burnt.jpg', 3));
  await openLine(page, 'Reference');
  await page.locator('#panel-reference').getByText(/\d+ % of the photo is plain white/).waitFor();
  assert.deepEqual(page.faults, []);
});
