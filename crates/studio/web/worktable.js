// The worktable: one painting, its notebook beside its canvas. Brings the parts together and keeps them in step.

import * as server from './server.js';
import { Choices } from './choices.js';
import { Desk } from './desk.js';
import { Painting } from './painting.js';
import { Sight } from './sight.js';
import { Stage } from './stage.js';
import { byId, h, setText } from './parts/dom.js';
import { canvas } from './steps/canvas.js';
import { check } from './steps/check.js';
import { grid } from './steps/grid.js';
import { head } from './head.js';
import { likeness } from './steps/likeness.js';
import { isPainting, takeDropped } from './parts/files.js';
import { keepFocus } from './parts/focus.js';
import { markUp } from './steps/mark-up.js';
import { notebook } from './notebook.js';
import { notes } from './steps/notes.js';
import { packetButton } from './packet.js';
import { placing } from './steps/placing.js';
import { print } from './steps/print.js';
import { reference } from './steps/reference.js';
import { wallControl } from './parts/wall.js';

/** @import { Sheet, StepKey } from './api.js' */

/** @type {(StepKey | 'notes')[]} */
const KEYS = ['reference', 'canvas', 'placing', 'grid', 'mark-up', 'likeness', 'print', 'check', 'notes'];

const id = decodeURIComponent(location.pathname.split('/').filter(Boolean).pop() ?? '');
Promise.all([server.painting(id), server.choices(id), server.notes(id)]).then(([state, kept, noted]) => lay(state, kept, noted.notes), (error) => {
  byId('worktable').classList.add('missing');
  byId('missing').hidden = false;
  setText(byId('missing-reason'), error instanceof server.Refusal ? error.message : String(error));
});

/** @param {import('./api.js').PaintingState} state @param {import('./api.js').Chosen} kept @param {string} noted */
function lay(state, kept, noted) {
  const painting = new Painting(state);
  const sight = new Sight();
  const wall = byId('wall');
  const stage = new Stage(wall, sight);
  const desk = new Desk(painting, new Choices(painting, kept), stage, sight, showAll);
  const sheet = hungSheet(wall);
  const printing = print(desk, sheet);
  const checking = check(desk);
  const book = notebook(byId('lines'), [
    ['reference', 'Reference', reference(desk, (file) => painting.bringIn(file))],
    ['canvas', 'Canvas', canvas(desk)],
    ['placing', 'Placing', placing(desk)],
    ['grid', 'Grid', grid(desk)],
    ['mark-up', 'Mark-up', markUp(desk)],
    ['likeness', 'Likeness', likeness(desk)],
    ['print', 'Print', printing],
    ['check', 'Check', checking],
    ['notes', 'Notes', notes(desk, noted)],
  ], () => sight.want({}));
  const top = head(painting);
  const packet = packetButton(painting, printing);
  wall.append(wallControl());

  function showAll() {
    const { view } = desk;
    book.update(view);
    stage.show(view, painting.state.photo);
    top.update();
    packet.update(view);
  }
  painting.addEventListener('saved', top.update);
  desk.refresh();

  takeDropped((files) => {
    const file = files[0];
    if (!file) return;
    if (isPainting(file)) return top.say('That is a painting file. Drop it on the shelf, to hang it there.');
    if (book.opened === 'check') return checking.bringIn(file);
    painting.bringIn(file).then(() => book.open('reference'), (error) => {
      if (!(error instanceof server.Refusal)) throw error;
      top.say(error.message);
    });
  });
  const asked = KEYS.find((key) => location.hash === `#${key}`);
  if (asked) book.open(asked);
  keepFocus();
  document.documentElement.classList.add('laid');
}

/** A sheet of the packet, hung large on the wall in front of the canvas. @param {HTMLElement} wall */
function hungSheet(wall) {
  const picture = h('img', { alt: '' });
  const away = h('button', { type: 'button', class: 'on-wall', onclick: () => show(null) }, 'Back to the canvas');
  const element = h('div', { class: 'hung-sheet', hidden: true }, picture, away);
  wall.append(element);
  document.addEventListener('keydown', ({ key }) => key === 'Escape' && show(null));
  /** What hangs behind it cannot be reached meanwhile. @param {boolean} isShown */
  const cover = (isShown) => {
    for (const other of wall.children) if (other !== element) other.toggleAttribute('inert', isShown);
  };
  /** Where to go back to. @type {Element | null} */
  let from = null;
  /** @param {Sheet | null} sheet */
  function show(sheet) {
    if (sheet) {
      picture.src = sheet.picture;
      picture.alt = `The ${sheet.kind} sheet ${sheet.label} as it will be printed`;
      if (element.hidden) from = document.activeElement;
      element.hidden = false;
      cover(true);
      away.focus();
    } else if (!element.hidden) {
      element.hidden = true;
      cover(false);
      picture.removeAttribute('src');
      if (from instanceof HTMLElement) from.focus();
    }
  }
  return show;
}
