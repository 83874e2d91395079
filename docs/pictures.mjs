// Makes the pictures of the painter's guide from the program itself, on the demo painting:
//
//   node docs/pictures.mjs        after a release build and `npm ci --prefix tests/browser`
//
// They are JPEG files in docs/guide/pictures/, at the size of a small laptop.

import { mkdir, mkdtemp } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SCREENS, newPage, openLine, press, saved, startBrowser, startStudio } from '../tests/browser/studio.js';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const PICTURES = join(ROOT, 'docs/guide/pictures');

await mkdir(PICTURES, { recursive: true });
// A folder that is not there yet: the studio then lays the demo on its shelf.
const studio = await startStudio(join(await mkdtemp(join(tmpdir(), 'guide-')), 'Paintings'));
const browser = await startBrowser();
try {
  const context = await browser.newContext({ viewport: SCREENS.laptop, reducedMotion: 'reduce' });
  const page = await newPage(context, studio);
  const take = async (name) => {
    await page.evaluate(() => document.fonts.ready);
    await page.screenshot({ path: join(PICTURES, `${name}.jpg`), type: 'jpeg', quality: 80 });
  };

  await page.goto(studio.address);
  await page.locator('h2 a').first().waitFor();
  await page.waitForFunction(() => [...document.images].every((image) => image.complete));
  // Without the foot of the page, which names a folder of this computer.
  await page.screenshot({ path: join(PICTURES, 'shelf.jpg'), type: 'jpeg', quality: 80, clip: { x: 0, y: 0, width: SCREENS.laptop.width, height: 720 } });
  await page.locator('h2 a').first().click();
  await page.locator('html.laid').waitFor();
  await page.waitForTimeout(1500);
  await take('notebook');
  for (const line of ['Reference', 'Canvas', 'Placing', 'Grid', 'Mark-up', 'Print', 'Likeness']) {
    await openLine(page, line);
    await saved(page);
    // Down to the drawing that the guide speaks of.
    if (line === 'Canvas') await page.locator('#panel-canvas .pairs').evaluate((fields) => fields.scrollIntoView({ block: 'end' }));
    await page.waitForTimeout(400);
    await take(line.toLowerCase());
  }

  const easel = await newPage(context, studio);
  await easel.goto(page.url().replace('/painting/', '/easel/'));
  await easel.waitForTimeout(1000);
  await easel.screenshot({ path: join(PICTURES, 'easel.jpg'), type: 'jpeg', quality: 80 });

  // The check, still of the demo painting: its ruled canvas and its half-done painting.
  const bringIn = async (name) => {
    await openLine(page, 'Check');
    await page.locator('#panel-check input[type=file]').first().setInputFiles(join(ROOT, 'demo', name));
    await page.locator('.stage .photo image').waitFor();
    await page.waitForTimeout(800);
  };
  const confirm = async () => {
    await press(page, 'Yes, this is my canvas');
    await page.getByRole('button', { name: 'Back to all checks' }).waitFor();
    await page.waitForTimeout(1500);
  };
  await bringIn('ruled-canvas.jpg');
  await take('check-outline');
  await confirm();
  await take('check-lines');
  await press(page, 'Back to all checks');
  await bringIn('half-done.jpg');
  await confirm();
  await page.getByRole('radio', { name: 'The painting' }).check();
  await page.getByRole('radio', { name: 'Split', exact: true }).check();
  await page.waitForTimeout(800);
  await take('check-painting');
} finally {
  await browser.close();
  await studio.clear();
}
