// Part of the likeness: light and dark. The reference as greys, as a value map or squinted at, beside the photo; and the
// value of a spot.

import * as server from '../server.js';
import { button, row, troubleLine } from '../parts/controls.js';
import { compareButton } from '../parts/compare.js';
import { arrowStep, setSentence } from '../parts/measure.js';
import { h } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { keep, recall } from '../sight.js';
import { toneChoice } from '../parts/tone-choice.js';
import { TONE_WORDS, toneText, usualTones } from '../parts/tones.js';
import { valueStrip } from '../parts/value-strip.js';

/** @import { Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Tones } from '../parts/tones.js' */
/** @import { Part } from './likeness.js' */

/** @param {Desk} desk @returns {Part} */
export function values(desk) {
  const { painting, stage, sight } = desk;
  const { toned } = stage;
  const trouble = troubleLine(painting);
  /** @type {Tones} */
  const tones = { ...usualTones(painting.view.unit), kind: 'values', ...recall('tones', {}) };
  let isOpen = false;
  let flicked = false;
  /** The spot on the canvas, in mm. @type {Xy | null} */
  let at = null;
  /** The step of the spot, once it is known. */
  let picked = 0;

  const choose = toneChoice({ legend: 'The photo as', painting: painting.state.id, change });
  const compare = compareButton((on) => { flicked = on; show(); });
  const making = h('p', { class: 'remark', role: 'status' });
  const stop = button('Stop', () => toned.stop(), { kind: 'quiet' });
  const spotSays = h('p', { class: 'remark', role: 'status' });
  const strip = valueStrip();
  stage.wall.append(strip.element);

  const spot = new Handles(stage, {
    points: [{ name: 'The spot', look: 'spot' }],
    step: () => arrowStep(painting.view.unit),
    loupe: true,
    hold: () => undefined,
    done: ([to]) => { if (to) pick(to); },
    inHand: () => 0,
  });

  /** @param {Partial<Tones>} to */
  function change(to) {
    Object.assign(tones, to);
    keep('tones', tones);
    toned.again();
    flicked = false;
    compare.reset();
    show();
    if (at && to.steps) pick(at);
  }

  /** Shows the tone, or the photo while it is compared with it. */
  function show() {
    const tone = isOpen ? toneText(tones) : 'photo';
    sight.showIn(flicked ? 'photo' : tone);
    say();
  }

  function say() {
    const tone = toneText(tones);
    choose.set(tones);
    compare.element.hidden = tones.kind === 'photo';
    const isMade = toned.making !== null;
    setSentence(making, isMade ? `${TONE_WORDS[tones.kind]}: the picture is being made.` : toned.trouble(tone));
    stop.hidden = !isMade;
    void strip.show(isOpen && tones.kind === 'values' ? tones.steps : null, picked);
  }

  let asked = 0;
  /** @param {Xy} to */
  function pick(to) {
    at = to;
    const mine = (asked += 1);
    stage.draw();
    trouble.act(server.spot(painting.state.id, to, tones.steps).then(({ says, step }) => {
      if (mine !== asked) return;
      picked = step.number;
      setSentence(spotSays, says);
      say();
    }, (error) => {
      if (mine === asked) {
        picked = 0;
        setSentence(spotSays, '');
        say();
      }
      throw error;
    }));
  }

  toned.addEventListener('change', () => {
    if (!isOpen) return;
    stage.draw();
    say();
  });
  stage.whenDrawn(() => {
    if (!isOpen) return;
    spot.show(at !== null);
    if (at) spot.lay([at]);
  });

  /** The revision for which the spot's value was told. */
  let revision = painting.state.revision;
  return {
    element: h('div', { class: 'stack' }, choose.element, row(compare.element), row(making, stop), spotSays, trouble.element,
      h('p', { class: 'hint' }, 'Tap the photo, and the value of 3 mm (1/8 in) of canvas around the place is told here. Hold “Compare” to see the photo, or tap it to change over.'),
      h('p', { class: 'hint' }, 'Sizes are those on the canvas; values are Munsell’s, from 0 for black to 10 for white.')),
    update(view) {
      say();
      if (!painting.tried) void choose.follow(tones, view.unit);
      // The photo may lie elsewhere now.
      if (isOpen && at && revision !== painting.state.revision) pick(at);
      revision = painting.state.revision;
    },
    open() {
      isOpen = true;
      stage.give({
        tap: (_, to) => pick(to),
        key(event) {
          const steps = arrow(event);
          if (!steps) return;
          if (at) spot.nudge(0, steps);
          else pick([stage.size[0] / 2, stage.size[1] / 2]);
        },
      }, 'The photo on the canvas. A tap tells the value there; arrow keys move the spot.');
      show();
      stage.draw();
    },
    close() {
      isOpen = false;
      flicked = false;
      compare.reset();
      spot.show(false);
      stage.give({});
      show();
    },
  };
}
