// Start of the studio, and how smoothly a large reference follows the hand.
//
//   node bench/page.mjs          both
//   node bench/page.mjs start    the studio's start: to the first byte of its page, and to a shelf that can be used
//   node bench/page.mjs frames   frame times, from Chromium's trace, while a 50-megapixel photo is dragged on the worktable
//
// The photo is made by `sh bench/photo.sh 50`. Needs the release build and `npm ci --prefix tests/browser`. RUNS is the number of starts.

import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import http from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openLine, newPage, newPainting, onCanvas, saved, startBrowser, startStudio } from '../tests/browser/studio.js';

const RUNS = Number(process.env.RUNS ?? 15);
const PHOTO = process.env.PHOTO ?? '.cache/bench/50-megapixels.jpg';

/** How long the photo is dragged, and how often a mouse tells where it is, in ms. */
const [DRAGGED, HAND_BEAT] = [5000, 8];

/** How often *nearer* is pressed before the photo is dragged from near. */
const STEPS_NEARER = 4;

const sorted = (numbers) => [...numbers].sort((a, b) => a - b);
const share = (numbers, part) => sorted(numbers)[Math.min(numbers.length - 1, Math.floor(part * numbers.length))];
const told = (numbers) => `min ${share(numbers, 0).toFixed(0)} ms, median ${share(numbers, 0.5).toFixed(0)} ms, max ${share(numbers, 1).toFixed(0)} ms`;

async function firstByte(address) {
  const request = http.get(address);
  const [answer] = await once(request, 'response');
  await once(answer, 'readable');
  request.destroy();
}

async function start() {
  const home = await mkdtemp(join(tmpdir(), 'mahlstick-'));
  // Not there yet: the studio then hangs its demo on the wall.
  const folder = join(home, 'Paintings');
  const browser = await startBrowser();
  const bytes = [];
  const usable = [];
  for (let run = 0; run <= RUNS; run += 1) {
    const begun = performance.now();
    const studio = await startStudio(folder);
    await firstByte(studio.address);
    const toByte = performance.now() - begun;
    const page = await browser.newPage();
    // The page tells itself when its first painting hangs, counted from the address being entered: to ask from outside takes longer.
    await page.addInitScript(() => {
      new MutationObserver((_, watch) => {
        if (!document.querySelector('#paintings a[href^="/painting/"]')) return;
        watch.disconnect();
        requestAnimationFrame(() => { document.documentElement.dataset.usable = String(performance.now()); });
      }).observe(document, { childList: true, subtree: true });
    });
    await page.goto(studio.address, { waitUntil: 'commit' });
    const usableAt = await page.locator('html[data-usable]').getAttribute('data-usable');
    const toUse = Number(usableAt) + toByte;
    await page.close();
    await studio.stop();
    // The first start makes the shelf and its demo, which happens once.
    if (run > 0) {
      bytes.push(toByte);
      usable.push(toUse);
    } else console.log(`very first start, with the demo made: first byte ${toByte.toFixed(0)} ms`);
  }
  await browser.close();
  await rm(home, { recursive: true, force: true });
  console.log(`first byte: ${told(bytes)}`);
  console.log(`shelf usable in a browser that is open: ${told(usable)}`);
}

/** What a page of any kind can reach here: a picture of the photo's, in the worktable's size, goes where the mouse is, and nothing else is done. */
const BARE_PAGE = `<!doctype html><style>body { margin: 0 } img { position: absolute; width: 500px; left: 390px; top: 60px }</style>
<img src="PICTURE" draggable="false" alt=""><script>
  const picture = document.querySelector('img');
  let to = null;
  addEventListener('pointerdown', () => {});
  addEventListener('pointermove', ({ clientX, clientY }) => {
    if (!to) requestAnimationFrame(() => { picture.style.transform = 'translate(' + (to.x - 640) + 'px,' + (to.y - 400) + 'px)'; to = null; });
    to = { x: clientX, y: clientY };
  });
</script>`;

/** Drags what is at `middle` about and tells how the frames of it were. */
async function framesOfDragging(browser, page, middle) {
  const client = await browser.newBrowserCDPSession();
  const events = [];
  client.on('Tracing.dataCollected', ({ value }) => events.push(...value));
  await client.send('Tracing.start', { transferMode: 'ReportEvents', traceConfig: { includedCategories: ['disabled-by-default-devtools.timeline.frame', 'devtools.timeline.frame', 'devtools.timeline'] } });
  await page.mouse.move(middle.x, middle.y);
  await page.mouse.down();
  // A hand does not wait until its last move is shown, as `page.mouse.move` would.
  const hand = await page.context().newCDPSession(page);
  const begun = performance.now();
  const moves = [];
  await new Promise((done) => {
    const beat = setInterval(() => {
      const past = performance.now() - begun;
      if (past > DRAGGED) {
        clearInterval(beat);
        done();
        return;
      }
      const [x, y] = [middle.x + 60 * Math.sin(past / 333), middle.y + 60 * Math.sin(past / 256)];
      moves.push(hand.send('Input.dispatchMouseEvent', { type: 'mouseMoved', button: 'left', buttons: 1, x, y }));
    }, HAND_BEAT);
  });
  await Promise.all(moves);
  await page.mouse.up();
  const done = once(client, 'Tracing.tracingComplete');
  await client.send('Tracing.end');
  await done;
  await client.detach();
  // Until the photo is moved for the first time there is nothing to draw.
  const sent = (type) => ({ name, args }) => name === 'EventDispatch' && args.data.type === type;
  const held = events.find(sent('pointerdown')).ts;
  const moved = events.find((event) => sent('pointermove')(event) && event.ts > held).ts;
  const since = (wanted) => events.filter(({ name, ts }) => name === wanted && ts >= moved);
  const drawn = since('DrawFrame').map((event) => event.ts / 1000).sort((a, b) => a - b);
  const apart = drawn.slice(1).map((time, at) => time - drawn[at]).filter((time) => time > 0);
  // What the page itself takes for a frame: from its thread's being told that one begins to its being handed on to be drawn.
  const handedOn = since('Commit').map(({ ts, dur = 0 }) => (ts + dur) / 1000).sort((a, b) => a - b);
  const begins = since('BeginMainThreadFrame').map(({ ts }) => ts / 1000);
  const took = begins.flatMap((begin) => handedOn.find((end) => end > begin) - begin || []);
  const figures = (numbers) => `median ${share(numbers, 0.5).toFixed(1)} ms, 95 % ${share(numbers, 0.95).toFixed(1)} ms, most ${share(numbers, 1).toFixed(1)} ms`;
  return { apart, told: `${drawn.length} frames in ${DRAGGED / 1000} s; the page took for one ${figures(took)}; apart ${figures(apart)}` };
}

async function frames() {
  const studio = await startStudio();
  const browser = await startBrowser();
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await newPage(context, studio);
  await newPainting(page, studio, PHOTO);
  await openLine(page, 'Placing');
  await saved(page);
  const whole = await framesOfDragging(browser, page, await onCanvas(page, 0.5, 0.5));
  await saved(page);
  for (let step = 0; step < STEPS_NEARER; step += 1) await page.getByRole('button', { name: 'Look nearer' }).click();
  const near = await framesOfDragging(browser, page, { x: 640, y: 400 });
  await saved(page);
  const picture = await page.locator('.canvas-photo image, svg image').first().getAttribute('href');
  await page.route('**/bare', (route) => route.fulfill({ contentType: 'text/html', body: BARE_PAGE.replace('PICTURE', picture) }));
  await page.goto(`${new URL(studio.address).origin}/bare`);
  const bare = await framesOfDragging(browser, page, { x: 640, y: 400 });
  console.log(`worktable, whole: ${whole.told}`);
  console.log(`worktable, near:  ${near.told}`);
  console.log(`bare page:        ${bare.told}`);
  const ratio = ({ apart }) => (share(apart, 0.95) / share(bare.apart, 0.95)).toFixed(2);
  console.log(`95 % of frames apart, worktable / bare page: whole ${ratio(whole)}, near ${ratio(near)}`);
  await browser.close();
  await studio.clear();
}

const [which] = process.argv.slice(2);
if (which !== 'frames') await start();
if (which !== 'start') await frames();
