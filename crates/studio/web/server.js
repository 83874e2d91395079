// Talks to the server: one function for each call, each answering with what the server sent or throwing a Refusal.

import { apostrophes } from './parts/apostrophes.js';

/** @import { CanvasPhotoView, CheckChange, CheckLine, CheckView, CheckWish, Chosen, ChosenChange, Dividers, Edit, LensWish, LetIn, Notes, PaintingState, PairingCode, Paper, Printer, SecondScreens, Sheet, Shelf, Shown, Spot, StandardSize, Store, Trouble, Unit, ValueMaps, ValueStep, Xy } from './api.js' */

/** Whether this is the computer that the studio runs on. */
export const isHere = ['127.0.0.1', 'localhost'].includes(location.hostname);

const SILENT = isHere
  ? 'The studio does not answer. If it was stopped, start it again on the computer; what was saved is safe.'
  : 'The studio does not answer: its door may have been shut, or the computer sleeps. What is seen here may be old.';

/** The server refused, or did not answer at all. `message` is a sentence for the painter. */
export class Refusal extends Error {
  /**
   * @param {Trouble} trouble what the server said
   * @param {number} status its HTTP status, 0 if it did not answer
   */
  constructor(trouble, status) {
    super(apostrophes(trouble.message));
    this.name = 'Refusal';
    this.status = status;
    this.state = trouble.state;
  }
}

/**
 * @param {string} path
 * @param {RequestInit} [init]
 * @returns {Promise<Response>}
 */
async function call(path, init) {
  let response;
  try {
    response = await fetch(path, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new Refusal({ message: SILENT, state: null }, 0);
  }
  if (response.ok) return response;
  /** @type {Trouble} */
  const trouble = await response.json().catch(() => ({ message: SILENT, state: null }));
  throw new Refusal(trouble, response.status);
}

/** @param {string} path @returns {Promise<any>} */
const get = async (path) => (await call(path)).json();

/** What a page sends at last, before it is left, arrives if it is no longer than this: a browser takes 64 kilobytes in all (Fetch Standard, 4.5). */
const MOST_AT_LAST = 16_000;

/** @param {string} path @param {unknown} [body] @param {string} [method] @param {AbortSignal} [signal] @returns {Promise<any>} */
const send = async (path, body, method = 'POST', signal) => {
  const text = JSON.stringify(body ?? {});
  const keepalive = !signal && text.length < MOST_AT_LAST;
  return (await call(path, { method, headers: { 'content-type': 'application/json' }, body: text, signal: signal ?? null, keepalive })).json();
};

/** @param {string} path @param {File} file @param {AbortSignal} [signal] @returns {Promise<any>} */
const sendFile = async (path, file, signal) =>
  (await call(path, {
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream', 'x-name': encodeURIComponent(file.name) },
    body: file,
    signal: signal ?? null,
  })).json();

/** @param {string} id */
const at = (id) => `/api/paintings/${encodeURIComponent(id)}`;

/** @returns {Promise<Shelf>} */
export const shelf = () => get('/api/shelf');

/** @returns {Promise<Store>} */
export const takenDown = () => get('/api/taken-down');

/** @param {string | null} title @param {{ unit: Unit, paper: Paper | null }} usual @returns {Promise<{ id: string }>} */
export const newPainting = (title, usual) => send('/api/paintings', { title, ...usual });

/** @param {File} file a painting file @returns {Promise<{ id: string }>} */
export const importPainting = (file) => sendFile('/api/paintings/import', file);

/** @param {string} id @returns {Promise<{ id: string }>} */
export const duplicate = (id) => send(`${at(id)}/duplicate`);

/** @param {string} id @returns {Promise<object>} */
export const takeDown = (id) => send(`${at(id)}/take-down`);

/** Throws a painting away in which nothing was done yet. @param {string} id @returns {Promise<object>} */
export const discard = (id) => send(`${at(id)}/discard`);

/** @param {string} id @returns {Promise<object>} */
export const hangAgain = (id) => send(`${at(id)}/hang-again`);

/** Where the painting's own file is to be had, named after it and the day. @param {string} id */
export const ownFile = (id) => `${at(id)}/file`;

/** @param {string} id @returns {Promise<PaintingState>} */
export const painting = (id) => get(at(id));

/** The painter's notes. @param {string} id @returns {Promise<Notes>} */
export const notes = (id) => get(`${at(id)}/notes`);

/** Keeps notes in place of those that were changed, unless others are kept by now. @param {string} id @param {string} was @param {string} now @returns {Promise<Notes>} */
export const keepNotes = (id, was, now) => send(`${at(id)}/notes`, { was, notes: now }, 'PUT');

/** What was chosen for a painting beside its plan. @param {string} id @returns {Promise<Chosen>} */
export const choices = (id) => get(`${at(id)}/choices`);

/** @param {string} id @param {Partial<ChosenChange>} change @returns {Promise<Chosen>} */
export const choose = (id, change) => send(`${at(id)}/choices`, change, 'PUT');

/** @param {string} id @param {number} revision @param {Edit} edit @param {string | null} gesture @returns {Promise<PaintingState>} */
export const makeEdit = (id, revision, edit, gesture) => send(`${at(id)}/edits`, { revision, gesture, edit });

/**
 * @param {string} id
 * @param {Edit} edit
 * @returns {Promise<{ view: PaintingState["view"] }>}
 */
export const tryEdit = (id, edit) => send(`${at(id)}/try`, { edit });

/** @param {string} id @param {number} revision @param {string} title @returns {Promise<PaintingState>} */
export const rename = (id, revision, title) => send(`${at(id)}/title`, { revision, title });

/** @param {string} id @param {number} revision @returns {Promise<PaintingState>} */
export const undo = (id, revision) => send(`${at(id)}/undo`, { revision });

/** @param {string} id @param {number} revision @returns {Promise<PaintingState>} */
export const redo = (id, revision) => send(`${at(id)}/redo`, { revision });

/** @param {string} id @param {number} revision @param {File} file @returns {Promise<PaintingState>} */
export const bringIn = (id, revision, file) => sendFile(`${at(id)}/photo?revision=${revision}`, file);

/** @returns {Promise<StandardSize[]>} */
export const sizes = async () => (await get('/api/sizes')).sizes;

/** @returns {Promise<Printer[]>} */
export const printers = async () => (await get('/api/printers')).printers;

/** @param {Printer[]} list @returns {Promise<Printer[]>} */
export const keepPrinters = async (list) => (await send('/api/printers', { printers: list }, 'PUT')).printers;

/** @param {string} id @param {URLSearchParams} wishes @param {AbortSignal} signal @returns {Promise<Sheet[]>} */
export const sheets = async (id, wishes, signal) => (await (await call(`${at(id)}/sheets?${wishes}`, { signal })).json()).sheets;

/**
 * The packet as a file, with the name the server gives it.
 * @param {string} id @param {URLSearchParams} wishes @param {AbortSignal} signal
 * @returns {Promise<{ name: string, pdf: Blob }>}
 */
export const packet = (id, wishes, signal) => pdf(`${at(id)}/packet.pdf?${wishes}`, signal);

/** The check sheet as a file. @param {string} id @param {number} number @param {AbortSignal} signal @returns {Promise<{ name: string, pdf: Blob }>} */
export const checkSheet = (id, number, signal) => pdf(`${at(id)}/checks/${number}/sheet.pdf`, signal);

/** @param {string} path @param {AbortSignal} signal */
async function pdf(path, signal) {
  const response = await call(path, { signal });
  return { name: fileName(response.headers.get('content-disposition')), pdf: await response.blob() };
}

/** A photo of the canvas, to be checked. @param {string} id @param {File} file @param {AbortSignal} signal @returns {Promise<CanvasPhotoView>} */
export const canvasPhoto = (id, file, signal) => sendFile(`${at(id)}/canvas-photo`, file, signal);

/** @param {string} id @returns {Promise<CheckLine[]>} */
export const checks = async (id) => (await get(`${at(id)}/checks`)).checks;

/** @param {string} id @param {number} number @returns {Promise<CheckView>} */
export const check = (id, number) => get(`${at(id)}/checks/${number}`);

/** Measures a photo within its outline, and keeps the check. @param {string} id @param {CheckWish} wish @param {AbortSignal} signal @returns {Promise<CheckView>} */
export const measure = (id, wish, signal) => send(`${at(id)}/checks`, wish, 'POST', signal);

/** @param {string} id @param {number} number @param {CheckChange} change @returns {Promise<CheckView>} */
export const changeCheck = (id, number, change) => send(`${at(id)}/checks/${number}`, change, 'PUT');

/** @param {string} id @param {number} number @returns {Promise<object>} */
export const removeCheck = (id, number) => send(`${at(id)}/checks/${number}`, {}, 'DELETE');

/** The phones whose lens was measured. @returns {Promise<string[]>} */
export const phones = async () => (await get('/api/lenses')).phones;

/** Measures a phone's lens on a photo of the lens card. @param {string} id @param {LensWish} wish @param {AbortSignal} signal @returns {Promise<string[]>} */
export const measureLens = async (id, wish, signal) => (await send(`${at(id)}/lens`, wish, 'POST', signal)).phones;

/** @param {string} phone @returns {Promise<string[]>} */
export const forgetLens = async (phone) => (await send(`/api/lenses/${encodeURIComponent(phone)}`, {}, 'DELETE')).phones;

/** The reference in another tone. @param {string} address @param {AbortSignal} signal @returns {Promise<Blob>} */
export const toned = async (address, signal) => (await call(address, { signal })).blob();

/** The steps of every value map, by their number. @returns {Promise<ValueStep[][]>} */
export const valueSteps = async () => {
  /** @type {ValueMaps} */
  const { maps } = await get('/api/value-steps');
  return maps.map(({ steps }) => steps);
};

/** The smallest mass or the blur of a tone, in the painting's unit. @param {string} id @param {string} tone @returns {Promise<string>} */
export const toneLength = async (id, tone) => (await get(`${at(id)}/tone-length?${new URLSearchParams({ tone })}`)).length;

/** The value at a spot of the canvas, in mm. @param {string} id @param {Xy} at @param {number} steps @returns {Promise<Spot>} */
export const spot = (id, [x, y], steps) => get(`${at(id)}/spot?${new URLSearchParams({ x: String(x), y: String(y), steps: String(steps) })}`);

/** What to know of the photo's light, or of the head's once it is marked. @param {string} id @returns {Promise<string | null>} */
export const exposure = async (id) => (await get(`${at(id)}/exposure`)).says;

/** How proportional dividers are set. @param {string} id @param {string} ratio @param {string} length @returns {Promise<Dividers>} */
export const dividers = (id, ratio, length) => get(`${at(id)}/dividers?${new URLSearchParams({ ratio, length })}`);

/** @returns {Promise<SecondScreens>} */
export const secondScreens = () => get('/api/second-screens');

/** Opens the door for screens in the house, or shuts it. @param {boolean} open @returns {Promise<SecondScreens>} */
export const openDoor = (open) => send('/api/second-screens', { open }, 'PUT');

/** @param {string} painting the code leads to its easel screen @returns {Promise<PairingCode>} */
export const pairingCode = (painting) => send('/api/second-screens/code', { painting });

/** @param {string} screen @returns {Promise<SecondScreens>} */
export const sendAway = (screen) => send(`/api/second-screens/${encodeURIComponent(screen)}`, {}, 'DELETE');

/** Asked from a second screen, where nothing else than its easel page is answered. @param {string} code @returns {Promise<LetIn>} */
export const pair = (code) => send('/api/pair', { code });

/** What this screen may see, asked for by a screen elsewhere in the house. @returns {Promise<Shown>} */
export const shown = () => get('/api/shown');

/** @param {string} id @returns {EventSource} */
export const events = (id) => new EventSource(`${at(id)}/events`);

/**
 * The file name in a Content-Disposition header (RFC 6266: `filename*` before `filename`).
 * @param {string | null} disposition
 */
function fileName(disposition) {
  const encoded = /filename\*=UTF-8''([^;]+)/i.exec(disposition ?? '')?.[1];
  if (encoded) return decodeURIComponent(encoded);
  return /filename="([^"]+)"/i.exec(disposition ?? '')?.[1] ?? 'packet.pdf';
}
