// Another screen in the house: let in by its code, sent away, and the door that is opened and shut; known again when the studio has been started anew.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { measure, openLedge, shownIn, startEasel } from './easel-page.js';
import { assertAccessible } from './looks.js';
import { OUT, SCREENS, newPage, openLine, press, saved, startStudio } from './studio.js';

let bench, browser, onScreen, studio;
before(async () => {
  bench = await startEasel();
  ({ browser, onScreen, studio } = bench);
});
after(async () => bench?.clear());

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
  await page.goto(bench.address.replace('/easel/', '/painting/'));
  await page.locator('html.laid').waitFor();
  assert.equal(await page.getByRole('link', { name: 'To the easel' }).getAttribute('href'), new URL(bench.address).pathname);
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
  await desk.getByRole('button', { name: 'Send away screen 1' }).click();
  await tablet.getByText('was sent away').waitFor();
  assert.equal(await tablet.locator('.board').count(), 0);
  await assertAccessible(tablet, 'a screen that was sent away');
  const way = tablet.getByRole('link', { name: 'Enter a code' });
  assert.equal(await way.getAttribute('href'), '/pair');
  // It does not ask again and again: what is said stays as it is.
  await tablet.waitForTimeout(6000);
  assert.equal(await way.count(), 1);
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
  const anew = await desk.locator('.address').innerText();
  assert.equal(await fetch(anew).then((answer) => answer.status), 200);
  // The address alone leads to where the code is asked for; once it is let in, to the picture.
  const alone = new URL('/', anew).href;
  await tablet.goto(alone);
  await tablet.getByLabel('Code').fill(await desk.locator('.code').innerText());
  await tablet.getByRole('button', { name: 'Let in' }).click();
  await tablet.locator('html.laid').waitFor();
  await tablet.goto(alone);
  await tablet.locator('html.laid').waitFor();
  assert.equal(new URL(tablet.url()).pathname, new URL(bench.address).pathname);
  // A picture that may be old says so.
  const later = tablet.getByRole('button', { name: 'Not now' });
  if (await later.isVisible()) await later.click();
  await desk.getByRole('button', { name: 'Shut the door' }).click();
  // A line to the studio that the browser still held open may carry the studio's own word.
  const old = tablet.locator('.tag').filter({ hasText: /What is seen here may be old\./ });
  const told = (error) => tablet.locator('body').innerText().then((text) => { throw new Error(`${error.message}\nThe tablet shows: ${text}`); });
  await old.first().waitFor().catch(told);
  // With the door open again it goes on by itself, without a code.
  await desk.getByRole('button', { name: 'Open the door' }).click();
  await old.first().waitFor({ state: 'hidden' }).catch(told);
  await bench.edit({ grid: { do: 'parts', columns: 3, rows: 3 } });
  await tablet.waitForFunction((was) => document.querySelector('.board .dark').getAttribute('d') !== was, before_);
  await desk.context().close();
  await context.close();
});

test('a tablet that is known brings a code for a second painting, and goes to and fro between the two', async (t) => {
  const own = await startEasel();
  t.after(() => own.clear());
  const desk = await newPage(await browser.newContext({ viewport: SCREENS.laptop, bypassCSP: true }), own.studio);
  const context = await browser.newContext({ viewport: SCREENS['tablet-upright'], hasTouch: true, bypassCSP: true });
  const tablet = await context.newPage();
  const letIn = async (easel) => {
    await desk.goto(easel);
    await desk.locator('html.laid').waitFor();
    if (await desk.locator('.measuring').isVisible()) await measure(desk, 351.3);
    await desk.mouse.click(300, 300);
    await openLedge(desk);
    await desk.getByRole('button', { name: 'Another screen' }).click();
    await desk.getByRole('button', { name: 'Make a code' }).click();
    const [address, code] = [await desk.locator('.address').innerText(), await desk.locator('.code').innerText()];
    await tablet.goto('about:blank');
    await tablet.goto(`${address}#${code.replace(' ', '')}`);
    await tablet.locator('html.laid').waitFor();
    await desk.getByText('The code was used: screen 1 shows the picture.').waitFor();
    assert.equal(await desk.locator('.code').count(), 0);
  };
  await letIn(own.gridAlone);
  await letIn(own.address);
  // A code that others guessed at, and one that was made elsewhere meanwhile, hold no longer; neither let anyone in.
  await desk.getByRole('button', { name: 'Make a code' }).click();
  await desk.locator('.code').waitFor();
  const painting = new URL(own.address).pathname.split('/').pop();
  await fetch(new URL('/api/second-screens/code', own.address), { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ painting }) });
  await desk.getByText('The code no longer holds.').waitFor();
  assert.equal(await desk.locator('.code').count(), 0);
  assert.equal(await desk.getByRole('list', { name: 'Screens that were let in' }).getByRole('listitem').count(), 1);
  await measure(tablet, 351.3);
  await tablet.touchscreen.tap(300, 200);
  await openLedge(tablet);
  await tablet.getByRole('group', { name: 'Other paintings' }).getByRole('link').click();
  await tablet.waitForURL((url) => url.pathname === new URL(own.gridAlone).pathname);
  await tablet.locator('html.laid').waitFor();
  // A painting that was taken down, looked for anew: the way to the other is there, and it comes again when it hangs again.
  const away = new URL(own.gridAlone).pathname.split('/').pop();
  const shelf = (what) => fetch(new URL(`/api/paintings/${away}/${what}`, own.address), { method: 'POST', headers: { 'content-type': 'application/json' }, body: '{}' });
  await shelf('take-down');
  await tablet.reload();
  await tablet.getByText('That painting is not on the shelf.').waitFor();
  assert.equal(await tablet.getByRole('group', { name: 'Other paintings' }).getByRole('link').count(), 1);
  await shelf('hang-again');
  await tablet.locator('html.laid').waitFor();
  await assertAccessible(desk, 'the screens that were let in');
  await desk.screenshot({ path: join(OUT, 'screens', 'easel-other-screens.png') });
  assert.deepEqual(desk.faults, []);
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
  const open = page.getByRole('button', { name: 'Open the door' });
  await open.or(shut).waitFor();
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

test('a screen that was let in needs no code when the studio has been started anew', async (t) => {
  const first = await startEasel();
  t.after(() => first.clear());
  const atDesk = (path, method, body) => fetch(new URL(path, first.address), {
    method, headers: { 'content-type': 'application/json' }, body: JSON.stringify(body),
  }).then((answer) => answer.json());
  const painting = new URL(first.address).pathname.split('/').pop();
  const { code, ways: [{ address }] } = await atDesk('/api/second-screens/code', 'POST', { painting });
  const context = await browser.newContext({ viewport: SCREENS['tablet-upright'], hasTouch: true, bypassCSP: true });
  const tablet = await context.newPage();
  await tablet.goto(`${address}#${code}`);
  await tablet.locator('html.laid').waitFor();
  const seen = tablet.url();
  const anew = () => startStudio(first.studio.folder, [`--lan=${new URL(address).hostname}`], new URL(first.address).port);

  await first.studio.stop();
  let studioAnew = await anew();
  t.after(() => studioAnew.stop());
  // In the morning the door is opened and shut on the shelf.
  const shelf = await newPage(await browser.newContext({ bypassCSP: true }), studioAnew);
  await shelf.goto(new URL('/', first.address).href);
  await shelf.getByText('A screen in the house is known; the door is open.').waitFor();
  await shelf.getByRole('button', { name: 'Shut the door' }).click();
  await shelf.getByText('A screen in the house is known; the door is shut.').waitFor();
  await shelf.getByRole('button', { name: 'Open the door' }).click();
  await shelf.getByRole('button', { name: 'Shut the door' }).waitFor();
  await assertAccessible(shelf, 'the door on the shelf');
  assert.deepEqual(shelf.faults, []);
  await shelf.context().close();
  await tablet.goto(seen);
  await tablet.locator('html.laid').waitFor();
  await atDesk('/api/second-screens/1', 'DELETE', {});
  await studioAnew.stop();
  studioAnew = await anew();
  await tablet.goto(seen);
  await tablet.getByLabel('Code').waitFor();
  await context.close();
});
