// Starts the real studio on an empty folder and the real page in Debian's chromium, and knows how a painter finds her
// way about it: by the words on the page.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
/** A photo from a camera, with its Exif data: test/starfish.jpg of the npm package exif-parser 0.1.12 (MIT). */
export const PHOTO = fileURLToPath(new URL('node_modules/exif-parser/test/starfish.jpg', import.meta.url));
/** The demo's plaster cast, 3000 x 4000 pixels, and where its crown and chin are. */
export const CAST = join(ROOT, 'demo/harbour-pilot.jpg');
/** Where pictures of the page are put; not kept in the repository. */
export const OUT = join(ROOT, 'out');

/** The four screens the page is made for. */
export const SCREENS = {
  laptop: { width: 1280, height: 800 },
  'tablet-level': { width: 1024, height: 768 },
  'tablet-upright': { width: 768, height: 1024 },
  phone: { width: 390, height: 844 },
};

/** The program that is tried. */
export const PROGRAM = join(process.env.MAHLSTICK_TARGET ?? join(ROOT, 'target'), 'release/mahlstick');

export const STEPS = ['Reference', 'Canvas', 'Placing', 'Grid', 'Mark-up', 'Likeness', 'Print', 'Check'];

/** A folder whose painter has taken the demo down. */
async function withoutDemo() {
  const folder = await mkdtemp(join(tmpdir(), 'mahlstick-'));
  await mkdir(join(folder, 'Taken down'));
  return folder;
}

/** Starts the studio on a folder, a fresh one without the demo unless one is given; `more` is what else stands on the command line. At a free port unless one is named. */
export async function startStudio(folder, more = [], port = '0') {
  const own = folder ?? (await withoutDemo());
  const child = spawn(PROGRAM, ['studio', '--folder', own, '--port', port, '--no-open', ...more], { stdio: ['ignore', 'pipe', 'inherit'] });
  const lines = createInterface({ input: child.stdout });
  const [line] = await Promise.race([once(lines, 'line'), once(child, 'exit').then(([code]) => assert.fail(`The studio ended with ${code}.`))]);
  const address = /http:\/\/127\.0\.0\.1:\d+\//.exec(line)?.[0];
  assert.ok(address, `The studio said “${line}” in place of its address.`);
  return {
    address,
    folder: own,
    async stop() {
      child.kill('SIGINT');
      if (child.exitCode === null) await once(child, 'exit');
    },
    async clear() {
      await this.stop();
      await rm(own, { recursive: true, force: true });
    },
  };
}

export const startBrowser = () => chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

/** A page that fails the test on any error in it, and on any request that leaves this computer. */
export async function newPage(context, studio) {
  const page = await context.newPage();
  const faults = [];
  page.on('pageerror', (error) => faults.push(String(error)));
  page.on('console', (message) => message.type() === 'error' && !/status of 4\d\d/.test(message.text()) && faults.push(message.text()));
  page.on('request', (request) => {
    if (!request.url().startsWith(studio.address) && !/^(data|blob):/.test(request.url())) faults.push(`asked for ${request.url()}`);
  });
  page.faults = faults;
  return page;
}

/** A new painting, from the shelf, with a photo. */
export async function newPainting(page, studio, photo) {
  await page.goto(studio.address);
  await page.getByRole('button', { name: 'New painting' }).click();
  await page.waitForURL(/\/painting\//);
  await page.locator('html.laid').waitFor();
  if (!photo) return;
  await openLine(page, 'Reference');
  await page.locator('input[type=file]').first().setInputFiles(photo);
  await page.getByText('Another photo').waitFor();
  await saved(page);
}

/** Opens a line of the notebook, if it is not open. */
export async function openLine(page, title) {
  const line = lineOf(page, title);
  if ((await line.getAttribute('aria-expanded')) === 'true') return;
  const sheet = page.locator('.panel:not([hidden])').getByRole('button', { name: 'Back to the notebook' });
  if (await sheet.isVisible()) await sheet.click();
  await line.click();
  await page.locator(`#panel-${title.toLowerCase()}:not([hidden])`).waitFor();
}

export const lineOf = (page, title) => page.locator(`#line-${title.toLowerCase()}`);

/** What the notebook says of a line, in plain text. */
export const sentenceOf = async (page, title) => plain(await lineOf(page, title).locator('.sentence').innerText());

export const plain = (text) => text.replace(/\s+/g, ' ').trim();

/** A page is looked at so often, in ms: a tab behind another draws no frames by which it could be. */
const OFTEN = { polling: 40 };

/** Waits until all is saved. */
export async function saved(page) {
  await page.waitForFunction(() => document.getElementById('saved')?.textContent === 'Saved', undefined, OFTEN);
}

/** Types into a labelled field of the open line, and enters it. */
export async function enter(page, label, text) {
  const field = page.locator('.panel:not([hidden])').getByLabel(label, { exact: true }).first();
  await field.fill(text);
  await field.press('Enter');
}

/** The same, and waits until it is saved. */
export async function fill(page, label, text) {
  await enter(page, label, text);
  await saved(page);
}

/** Chooses the unit on the open line, and waits until the fields go by it. @param {string} name */
export async function measureIn(page, name) {
  await page.getByRole('radio', { name }).check();
  await saved(page);
}

/** Whether the painter sees an element whole: nothing cuts it off or lies over it. */
export const isSeen = (locator) => locator.evaluate((element) => {
  const { left, right, top, bottom } = element.getBoundingClientRect();
  const at = (x, y) => element.contains(document.elementFromPoint(x, y));
  return at(left + 2, top + 2) && at((left + right) / 2, (top + bottom) / 2) && at(left + 2, bottom - 2);
});

export const press = (page, name) => page.locator('.panel:not([hidden])').getByRole('button', { name, exact: true }).click();

/** Lets crown and chin lie where they are first laid, as a painter would who finds them right there. */
export async function markHead(page) {
  await press(page, 'Mark crown and chin');
  await press(page, 'Both lie right');
  await says(page, 'Placing', /^Head/);
}

/** Waits until the notebook says so. */
export async function says(page, title, wanted) {
  try {
    await page.waitForFunction(
      ([id, source]) => new RegExp(source).test(document.querySelector(`#line-${id} .sentence`)?.textContent?.replace(/\s+/g, ' ') ?? ''),
      [title.toLowerCase(), wanted.source], { timeout: 5000, ...OFTEN });
  } catch {
    assert.match(await sentenceOf(page, title), wanted);
  }
}

/** Where a point of the canvas lies on the screen, by its share of the canvas's width and height. */
export async function onCanvas(page, across, down) {
  const box = await page.locator('.hung').boundingBox();
  return { x: box.x + box.width * across, y: box.y + box.height * down };
}

/** Drags with the mouse from one point to another, in a few moves. */
export async function drag(page, from, to) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2);
  await page.mouse.move(to.x, to.y, { steps: 4 });
  await page.mouse.up();
  await saved(page);
}

/** The middle of an element, on the screen. */
export async function middle(locator) {
  const { x, y, width, height } = await locator.boundingBox();
  return { x: x + width / 2, y: y + height / 2 };
}
