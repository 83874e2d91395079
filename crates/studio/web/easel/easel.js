// The easel screen: one painting's picture and grid at the size they have on the canvas. Brings screen, board, glass and
// ledge together, and keeps in step with the worktable.

import * as server from '../server.js';
import { Board, usualLooks } from './board.js';
import { headMiddle } from './boxes.js';
import { RATIOS } from '../parts/ratios.js';
import { ledge } from './ledge.js';
import { byId, h, setText } from '../parts/dom.js';
import { errorText, isPinched, measured, measuredOnce, UNMEASURED, whenScreenChanges } from './screen.js';
import { glass } from './glass.js';
import { keep, recall } from '../sight.js';
import { measuring } from './measuring.js';
import { otherPaintings } from './other-paintings.js';
import { otherScreens } from './other-screens.js';
import { spots } from './spots.js';
import { stayAwake } from './awake.js';
import { TONE_WORDS, toneText } from '../parts/tones.js';

/** @import { PaintingState, View, Xy } from '../api.js' */
/** @import { Looks } from './board.js' */
/** @import { ToneKind } from '../parts/tones.js' */

const FIRST = 'The picture is to be as large here as on the canvas, so this screen is measured once. It is kept on this device.';
const CHANGED = 'The zoom has changed, or this is another screen, so it is measured again. At the former zoom the former measure holds.';
const AGAIN = 'What is measured now takes the place of the former measure.';

/** A picture that could not be had is asked for again after so long, in ms. */
const AGAIN_AFTER = 4000;
/** News that are lost for so long, in ms, are asked after. */
const LOST = 2500;

const id = decodeURIComponent(location.pathname.split('/').filter(Boolean).pop() ?? '');
server.painting(id).then(lay, missing);

/** Why there is no picture. It is asked for again, but by a screen that was sent away. @param {unknown} error */
function missing(error) {
  const note = byId('missing');
  byId('easel').replaceChildren(byId('heading'), note);
  note.hidden = false;
  setText(byId('missing-reason'), error instanceof server.Refusal ? error.message : String(error));
  const isSentAway = error instanceof server.Refusal && error.status === 401;
  byId('missing-way').hidden = !isSentAway;
  byId('missing-others').replaceChildren();
  if (isSentAway) return;
  const others = otherPaintings(id);
  byId('missing-others').append(others.element);
  void others.again();
  setTimeout(() => void server.painting(id).then(() => location.reload(), missing), AGAIN_AFTER);
}

/** @param {PaintingState} first */
function lay(first) {
  let state = first;
  /** @type {Looks} */
  const looks = { ...usualLooks(state.view.unit), ...recall('easel', {}) };
  /** The tone that the photo is compared with: the one that was looked at last. @type {ToneKind} */
  let against = looks.kind === 'photo' ? 'values' : looks.kind;
  let ratio = '1:1';
  let flicked = false;
  let locked = true;
  /** Why the picture may be older than the painting, if it may. */
  let stale = '';
  /** The painting as it was when the picture was touched last: what has changed since is told, for dividers may still be set to it. */
  let known = first;
  /** Whether the painter would rather not measure just now. */
  let later = false;

  const board = new Board();
  const tag = h('p', { class: 'tag', role: 'status' });
  const touch = glass({ touched, step, flick, locked: isLocked });
  const tray = ledge({
    look(change) {
      Object.assign(looks, change);
      if (looks.kind !== 'photo') against = looks.kind;
      keep('easel', looks);
      flicked = false;
      tray.resetCompare();
      board.toned.again();
      if (looks.plumb) throughSome();
      show();
    },
    flick, step,
    goTo(at) {
      const place = placesOf(state.view)[at]?.middle;
      if (place) board.bringIntoView(place);
      // It would lie over what was asked for.
      open(false);
      touch.focus();
    },
    opened: () => void toOthers.again(),
    spot() {
      spot.open();
      open(false);
      touch.focus();
    },
    stop: () => board.toned.stop(),
    ratio(picked) { ratio = picked; show(); },
    measure: () => measure(AGAIN),
    lock() { locked = !locked; show(); },
  });
  const size = measuring({
    unit: () => state.view.unit,
    done() {
      later = !measured();
      size.close();
      show();
      touch.focus();
    },
  });
  const spot = spots({
    painting: id, unit: () => state.view.unit, steps: () => looks.steps, begin: () => board.middle, moved: () => show(),
    done() { show(); touch.focus(); },
  });
  const others = otherScreens(id, () => { show(); touch.focus(); });
  const toOthers = otherPaintings(id);
  tray.ways.append(...ways(() => {
    open(false);
    others.open();
    show();
  }), toOthers.element);
  byId('easel').append(board.svg, touch, tag, spot.element, tray.element, size.element, others.element);
  board.toned.addEventListener('change', () => show());

  /** Shows everything as it stands. */
  function show() {
    const screen_ = measured();
    const covered = isCovered();
    document.documentElement.classList.toggle('locked', isLocked() && !covered);
    document.title = `Easel · ${state.title || 'Untitled'}`;
    setText(byId('heading'), `${state.title || 'Untitled'} on the easel`);
    board.svg.toggleAttribute('hidden', covered);
    touch.hidden = covered;
    tag.hidden = covered;
    spot.element.toggleAttribute('inert', covered);
    if (covered) return;
    const other = looks.kind === 'photo' ? against : 'photo';
    board.show(state, { ...looks, kind: flicked ? other : looks.kind }, screen_?.perMm ?? UNMEASURED, share(), spot.at);
    // What it may be compared with is made ready, so that the change is quick.
    if (!board.toned.making && other !== 'photo') board.toned.picture(state.photo, toneText({ ...looks, kind: other }));
    const standing = standingOf(screen_ !== null);
    touch.setAttribute('aria-label', `The picture, ${board.boxes}: ${spot.isOpen ? 'tell the value of a spot' : 'show or put away the controls below it'}`);
    const turned = looks.mirror ? 'Seen in a mirror.' : '';
    const compared = flicked ? `Compared: ${TONE_WORDS[other].toLowerCase()}.` : '';
    setText(tag, [standing.tag, turned, looks.upside ? 'Upside down.' : '', compared, whatChanged(known, state), stale].filter(Boolean).join(' '));
    keepInSight(tag);
    tray.show({
      looks, unit: state.view.unit, hasDetails: state.view.details.length > 0, places: placesOf(state.view).map(({ name }) => name), landmarks: state.view.likeness.landmarks.map(({ name }) => name), ratio,
      making: looks.kind !== 'photo' && board.toned.making === toneText(looks), trouble: board.toned.trouble(toneText(looks)), isTrue: screen_ !== null, standing: standing.title,
      about: [`${board.boxes}${board.parts > 1 ? `; the boxes are larger than this screen, so a step is 1/${board.parts} of a box` : ''}.`, screen_ && !isPinched() ? `Lengths are true ${ratio === '1:1' ? '' : `at ${ratio} `}to within ${errorText(screen_.error)}.` : '', screenNumber()].join(' ').trim(),
      wholeAt: board.wholeAt, locked, map: (side) => board.map(side), canStep: (right, down) => board.canStep(right, down),
    });
  }

  /** What a touch on the picture does. @param {MouseEvent} event */
  function touched(event) {
    known = state;
    const place = event.detail > 0 ? event : null;
    if (spot.isOpen) return place ? spot.pick(board.at(place)) : spot.pick(spot.at ?? board.middle);
    const landmark = place && looks.plumb && looks.landmarks ? board.landmarkAt(place) : null;
    if (landmark) {
      looks.through = landmark.name;
      keep('easel', looks);
      return show();
    }
    open(tray.element.hidden);
  }

  /** Lets plumb and level lines go through the landmark nearest to the middle of what is seen, if they go through none. */
  function throughSome() {
    const { landmarks } = state.view.likeness;
    if (landmarks.some(({ name }) => name === looks.through)) return;
    const [x, y] = board.middle;
    const away = (/** @type {{ at: Xy }} */ { at }) => Math.hypot(at[0] - x, at[1] - y);
    looks.through = [...landmarks].sort((a, b) => away(a) - away(b))[0]?.name ?? '';
  }

  /** Whether fingers may not enlarge the page. What they have enlarged already they must be able to take back. */
  function isLocked() {
    return locked && !isPinched();
  }

  /** Whether a leaf lies over the picture. */
  function isCovered() {
    return !size.element.hidden || !others.element.hidden;
  }

  /** The picture's size on this screen to the canvas's: never larger, see {@link RATIOS}. */
  const share = () => RATIOS.find(([value]) => value === ratio)?.[2] ?? 1;

  /** How large the picture is here, as a title, and as a warning where it is not true size. @param {boolean} isMeasured */
  function standingOf(isMeasured) {
    if (!isMeasured) return { title: 'Not measured', tag: 'Not true size: this screen is not measured yet.' };
    if (isPinched()) return { title: 'Enlarged', tag: 'Not true size: enlarged by a pinch. Draw two fingers together to take it back.' };
    if (ratio !== '1:1') return { title: `${ratio}, not true size`, tag: `Not true size: ${ratio}. Set proportional dividers to ${Number((1 / share()).toFixed(3))} to 1, the wide points on the canvas.` };
    return { title: 'True size', tag: '' };
  }

  /** @param {string} reason */
  function measure(reason) {
    open(false);
    size.open(reason);
    show();
  }

  /** Shows the ledge or puts it away. @param {boolean} on */
  function open(on) {
    tray.element.hidden = !on;
    touch.setAttribute('aria-expanded', String(on));
    show();
  }

  /** @param {number} right @param {number} down */
  function step(right, down) {
    if (board.step(right, down)) show();
  }

  /** @param {boolean} on */
  function flick(on) {
    if (flicked === on) return;
    flicked = on;
    // A tap on “Compare” is taken back by lifting the finger from the glass.
    if (!on) tray.resetCompare();
    show();
  }

  whenScreenChanges(() => {
    if (!measured() && !later && !isCovered()) measure(CHANGED);
    // Back at a zoom that was measured, there is nothing to ask any more.
    if (measured() && size.reason === CHANGED) size.close();
    show();
  });
  addEventListener('keydown', (event) => {
    if (isCovered() || event.target instanceof HTMLSelectElement || event.altKey || event.ctrlKey || event.metaKey) return;
    const way = /** @type {Record<string, [number, number]>} */ ({ ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] })[event.key];
    if (way) {
      event.preventDefault();
      if (spot.isOpen) spot.nudge(board.turnedStep(way));
      else step(...way);
    } else if (event.key === 'Escape') {
      if (spot.isOpen) return spot.close();
      open(false);
      touch.focus();
    }
  });
  listen(id, (now) => {
    [state, stale] = [now, ''];
    spot.again();
    if (looks.plumb) throughSome();
    show();
  }, (refusal) => {
    if (refusal.status === 401) {
      missing(refusal);
      return false;
    }
    stale = refusal.message;
    show();
    return true;
  });
  stayAwake(tray.sayAwake);
  if (measured()) show();
  else measure(measuredOnce() ? CHANGED : FIRST);
  document.documentElement.classList.add('laid');
}

/** What of lengths and boxes on this screen is no longer as it was, in a sentence; blank if nothing is. @param {PaintingState} before @param {PaintingState} now */
function whatChanged({ view: was, photo: former }, { view: is, photo }) {
  const told = [];
  if (was.canvas.size !== is.canvas.size) told.push(`the canvas is ${is.canvas.size}, it was ${was.canvas.size}`);
  const [there, here] = [was.reference, is.reference];
  if (former?.id !== photo?.id) told.push(photo ? `another photo is on it${there?.head && !here?.head ? ', without crown and chin' : ''}` : 'the photo was taken away');
  else if (there?.head && here?.head && there.head.height !== here.head.height) told.push(`the head is ${here.head.height} high, it was ${there.head.height}`);
  else if (there && here && isMoved(there.matrix, here.matrix) && !told.length) told.push('the photo lies otherwise on the canvas');
  const division = (/** @type {View} */ { grid: { parts, square, from } }) => JSON.stringify([parts, square, from]);
  if (division(was) !== division(is)) told.push('the grid divides the canvas otherwise, so that its boxes have other names');
  return told.length ? `Changed at the worktable: ${told.join('; ')}.` : '';
}

/** Whether a picture lies otherwise by more than the arithmetic leaves open. @param {number[]} was @param {number[]} is */
const isMoved = (was, is) => was.some((number, at) => Math.abs(number - (is[at] ?? 0)) > 1e-6);

/** What can be brought into view: the head and the detail boxes, by their middles on the canvas. @param {View} view @returns {{ name: string, middle: Xy }[]} */
function placesOf(view) {
  const head = headMiddle(view);
  return [
    ...(head ? [{ name: 'Head', middle: head }] : []),
    ...view.details.map(({ name, rect: [left, top, width, height] }) => ({ name, middle: /** @type {Xy} */ ([left + width / 2, top + height / 2]) })),
  ];
}

/** Keeps the tag at the top of what is seen of the page, and at its own size, while fingers have enlarged it. @param {HTMLElement} tag */
function keepInSight(tag) {
  const { scale = 1, offsetLeft = 0, offsetTop = 0, width = innerWidth } = visualViewport ?? {};
  tag.style.transform = isPinched() ? `translate(${offsetLeft + width / 2 - innerWidth / 2}px, ${offsetTop}px) scale(${1 / scale}) translateX(-50%)` : '';
}

/**
 * Ways out of the page: full screen where there is such a thing; on the studio's own computer, other screens and back to
 * the worktable.
 * @param {() => void} toOthers
 */
function ways(toOthers) {
  const full = document.fullscreenEnabled && h('button', {
    type: 'button', class: 'quiet',
    onclick: () => void (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()),
  }, 'Full screen');
  const others = server.isHere && h('button', { type: 'button', class: 'quiet', onclick: toOthers }, 'Another screen');
  const back = server.isHere && h('a', { href: `/painting/${encodeURIComponent(id)}` }, 'Back to the worktable');
  return [full, others, back].filter((way) => way instanceof HTMLElement);
}

/** By which number the computer lists this screen, in a sentence. */
function screenNumber() {
  const number = server.isHere ? 0 : recall('number on the computer', 0);
  return number ? `The computer lists this as screen ${number}.` : '';
}

/**
 * Hears of changes while the page is seen and takes the new state over.
 * @param {string} painting
 * @param {(state: PaintingState) => void} take
 * @param {(refusal: server.Refusal) => boolean} lost whether to go on listening
 */
function listen(painting, take, lost) {
  /** @type {EventSource | null} */
  let events = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let again;
  let over = false;
  const fetchNow = () => server.painting(painting).then(take, (error) => {
    if (!(error instanceof server.Refusal)) throw error;
    over ||= !lost(error);
    if (over) begin();
  });
  /** Begins to listen, anew if need be; only ends it where it is over or nobody looks. */
  const begin = () => {
    events?.close();
    events = null;
    clearTimeout(again);
    if (over || document.hidden) return;
    events = server.events(painting);
    events.addEventListener('changed', () => void fetchNow());
    events.addEventListener('open', () => clearTimeout(again));
    // The browser tries again by itself, or gives up; asking once more tells why, and what has come back is found.
    events.addEventListener('error', () => {
      clearTimeout(again);
      again = setTimeout(() => void fetchNow().finally(() => events?.readyState === EventSource.CLOSED && begin()), LOST);
    });
  };
  begin();
  document.addEventListener('visibilitychange', begin);
}
