// Part of step 1: straighten the photo by drawing a line over something in it that ought to be plumb or level.

import { arrowStep } from '../parts/measure.js';
import { button, choice, row, troubleLine } from '../parts/controls.js';
import { h } from '../parts/dom.js';
import { Handles, arrow } from '../parts/handles.js';
import { inHand } from '../parts/in-hand.js';
import { twinLines } from '../parts/lines.js';

/** @import { Xy } from '../api.js' */
/** @import { Desk } from '../desk.js' */
/** @import { Inset } from './reference.js' */

/** Where the line first lies, as shares of the canvas's height. */
const FIRST_ENDS = [0.3, 0.7];

/** @param {Desk} desk @param {() => void} leave @returns {Inset} */
export function straighten(desk, leave) {
  const { painting, stage } = desk;
  const trouble = troubleLine(painting);
  let level = false;
  /** Whether the painter said what the line ought to be. */
  let said = false;
  const ought = choice({
    legend: 'It ought to be',
    options: [['plumb', 'Plumb'], ['level', 'Level']],
    pick: (value) => { [level, said] = [value === 'level', true]; },
  });
  ought.set('plumb');
  const held = inHand({
    legend: 'In hand',
    things: [['0', 'One end'], ['1', 'The other']],
    take: (key) => ends.reveal(Number(key)),
    nudge: (key, steps) => ends.nudge(Number(key), steps),
    hint: 'Draw the line with a finger, drag its ends, or tap to set the end in hand.',
  });
  const ends = new Handles(stage, {
    points: [{ name: 'One end of the line', look: 'end' }, { name: 'The other end of the line', look: 'end' }],
    step: () => arrowStep(painting.view.unit),
    loupe: true,
    hold: () => stage.draw(),
    done() {
      moved = true;
      judge();
    },
    cancel: () => stage.draw(),
    taken: (index) => held.take(String(index)),
    inHand: () => Number(held.key),
  });

  const body = h('div', { class: 'inset stack' },
    h('p', {}, 'Draw a line over something that ought to be plumb or level: a door post, a shelf, the edge of a picture. Not the line of the eyes: a head that leans is part of the likeness.'),
    ought.element, held.element,
    row(button('Straighten', apply, { kind: 'next' }), button('Leave the photo as it is', giveUp, { kind: 'quiet' })),
    trouble.element);

  let isOpen = false;
  /** Over what the line lies that is shown. */
  let opened = '';
  /** Whether the line is where the painter set it. */
  let moved = false;
  /** The line that she set and has not used yet, and over what it lay. @type {{ points: Xy[], over: string } | null} */
  let unused = null;
  /** The photo as it lies on the canvas: over anything else a line says nothing. */
  const over = () => JSON.stringify([painting.state.photo?.id, painting.view.reference?.matrix, painting.view.canvas.size]);
  stage.whenDrawn(() => {
    if (!isOpen) return;
    ends.lay(ends.points);
    const [[ax, ay] = [0, 0], [bx, by] = [0, 0]] = ends.points;
    stage.overlay.replaceChildren(...twinLines([[ax, ay, bx, by]], { px: stage.px, width: 1.5 }));
  });

  /** A line ought to be what it is nearer to, until the painter says otherwise: nobody straightens by an eighth of a turn and more. */
  function judge() {
    stage.draw();
    if (said) return;
    const [[ax, ay] = [0, 0], [bx, by] = [0, 0]] = ends.points;
    level = Math.abs(by - ay) < Math.abs(bx - ax);
    ought.set(level ? 'level' : 'plumb');
  }

  function apply() {
    const [from, to] = ends.points;
    if (!from || !to) return;
    trouble.act(painting.edit({ reference: { do: 'straighten', from, to, level } }).then(giveUp));
  }

  /** The line is not needed any more. */
  function giveUp() {
    moved = false;
    leave();
  }

  /** Where a line that is being drawn began. @type {Xy | null} */
  let from = null;
  let drawn = false;
  /** Where the line lay before. @type {Xy[]} */
  let before = [];
  return {
    title: 'Straighten by a line',
    body,
    update: () => undefined,
    open() {
      isOpen = true;
      const [width, height] = stage.size;
      // A line that was drawn and not used yet is there again.
      opened = over();
      if (unused?.over !== opened) unused = null;
      ends.lay(unused?.points ?? FIRST_ENDS.map((share) => [width / 2, height * share]));
      moved = unused !== null;
      said = false;
      judge();
      ends.show(true);
      stage.give({
        down(_, at) {
          [from, drawn, before] = [at, false, ends.points];
        },
        move(_, at) {
          if (!from || (!drawn && Math.hypot(at[0] - from[0], at[1] - from[1]) < 8 * stage.px)) return;
          drawn = true;
          ends.lay([from, at]);
          stage.look(at);
          stage.draw();
        },
        up(_, at) {
          if (from) moved = true;
          if (from && drawn) {
            said = false;
            judge();
          } else if (from) ends.set(Number(held.key), at);
          stage.look(null);
          from = null;
        },
        drop() {
          if (from && drawn) ends.lay(before);
          from = null;
          stage.look(null);
          stage.draw();
        },
        cancel: giveUp,
        key(event) {
          const steps = arrow(event);
          if (steps) ends.nudge(Number(held.key), steps);
        },
      }, 'The photo on the canvas. Arrow keys move the end of the line in hand.');
      stage.draw();
    },
    close() {
      unused = moved ? { points: ends.points, over: opened } : null;
      isOpen = false;
      ends.show(false);
      stage.overlay.replaceChildren();
    },
  };
}
