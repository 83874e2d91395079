// The check in the page, for its tests: the demo's painting, a photo of its canvas brought in, its outline confirmed, and what is told.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { CAST, newPainting, openLine, plain, press } from './studio.js';

const DEMO = join(CAST, '..');
/** The demo's canvas, ruled with two wrong lines, and with a half-done painting. */
export const [RULED, HALF_DONE] = ['ruled-canvas.jpg', 'half-done.jpg'].map((name) => join(DEMO, name));
/** The cast's landmarks in its photo, by the demo's names for them. */
const LANDMARKS = JSON.parse(await readFile(join(DEMO, 'harbour-pilot.json'), 'utf8')).landmarks;

/** Asks the server as the page does. */
export async function api(page, path, body, method = 'POST') {
  const id = new URL(page.url()).pathname.split('/').pop();
  return page.evaluate(async ([where, what, how]) => {
    const response = await fetch(where, what ? { method: how, headers: { 'content-type': 'application/json' }, body: JSON.stringify(what) } : {});
    return response.json();
  }, [`/api/paintings/${id}${path}`, body, method]);
}

export async function edit(page, made) {
  const { revision } = await api(page, '');
  const answer = await api(page, '/edits', { revision, gesture: null, edit: made });
  assert.ok(answer.view, JSON.stringify(answer));
  return answer;
}

/** The demo's painting: a canvas of 12 x 16 in, the head 8 in high with its middle 6 in from the left and 6 1/2 from the top. */
export async function pilot(page, studio) {
  await newPainting(page, studio, CAST);
  await edit(page, { canvas: { do: 'size', width: '12 in', height: '16 in' } });
  const state = await api(page, '');
  const [a, b, c, d, e, f] = state.view.reference.matrix;
  const onCanvas = ({ x, y }) => [a * x + c * y + e, b * x + d * y + f];
  const named = (name) => LANDMARKS.find((landmark) => landmark.name === name);
  await edit(page, { reference: { do: 'mark-head', crown: onCanvas(named('crown')), chin: onCanvas(named('chin')) } });
  await edit(page, { reference: { do: 'head-height', height: '8 in' } });
  await edit(page, { reference: { do: 'space', side: 'left', space: '6 in' } });
  // The crown is above the head's middle by half of what the slanting head measures along the plumb line.
  const [crown, chin] = [named('crown'), named('chin')];
  const plumb = (8 * (chin.y - crown.y)) / Math.hypot(chin.x - crown.x, chin.y - crown.y);
  await edit(page, { reference: { do: 'space', side: 'top', space: `${((6.5 - plumb / 2) * 25.4).toFixed(2)} mm` } });
  return named;
}

export async function bringIn(page, photo) {
  await openLine(page, 'Check');
  await page.locator('#panel-check input[type=file]').first().setInputFiles(photo);
  await page.getByRole('heading', { name: 'Where is the canvas?' }).waitFor();
  await page.locator('.stage .photo image').waitFor();
}

export const confirm = async (page) => {
  await press(page, 'Yes, this is my canvas');
  await page.getByRole('button', { name: 'Back to all checks' }).waitFor({ timeout: 30000 });
};

export const toldLines = async (page) => (await page.locator('.checked-line').allInnerTexts()).map(plain);
