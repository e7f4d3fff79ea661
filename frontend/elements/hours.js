/** The day's turns: taken, taken back, and hours extended by an order. */

import { cautionWords } from '../logic/coded.js';
import { asTime } from '../logic/dialog.js';
import { mayExtend, turnsNow, turnsToTakeBack, turnWarnings } from '../logic/turns.js';
import { dateWords } from '../logic/wording.js';
import { button, problemBox } from './controls.js';
import { asked, dialogField } from './dialog_parts.js';
import { close, title } from './dialogs.js';
import { h } from './paint.js';
import { beforeAfter } from './written_down.js';

export const dayTurns = (state, say, send) =>
  state.dialog.turn ? confirmTurn(state, say, send) : turns(state, say, send);

function turns(state, say, send) {
  const { day } = state;
  const now = turnsNow(day);
  const back = turnsToTakeBack(day);
  const open = (given) => () => send({ type: 'dialog-opened', ...given });
  const isNothing = !now.length && !back.length;
  return [
    title(say('dialog.day')),
    h('p', null, say(`phase.${day.phase}`, day.election)),
    day.extended && h('p', null, say('dialog.extended', day.extended)),
    day.extended?.end_is_marked === false &&
      h('p', { class: 'problem', key: 'unmarked' }, say('dialog.unmarked', day.election)),
    isNothing && h('p', null, say('dialog.no-turns')),
    h(
      'div',
      { class: 'buttons upright', key: 'turns' },
      now.map((turn) => button(say(`turn.${turn}`), open({ kind: 'day', turn }), { key: turn })),
      mayExtend(day) && button(say('correct.extend'), open({ kind: 'extend' }), { key: 'extend' }),
      back.map((turn) =>
        button(say(`take-back.${turn}`), open({ kind: 'take-back', turn }), { key: `back-${turn}` }),
      ),
      button(say('dialog.back'), close(send), { key: 'back', look: 'quiet' }),
    ),
  ];
}

/** With a reason in writing the lead may open or close all the same. */
const NEEDS_REASON = new Set(['opening-not-ready', 'does-not-balance']);

function confirmTurn(state, say, send) {
  const { turn, problem, text } = state.dialog;
  const { day } = state;
  const facts = { ...day.election, now: day.local_time, date: dateWords(day.election.date, say.language) };
  return [
    title(say(`turn.${turn}`)),
    h('p', null, say(`turn-means.${turn}`), ' ', h('strong', null, say('dialog.in-record'))),
    h('p', null, say(`turn-now.${turn}`, facts)),
    turnWarnings(day, turn).map((code) =>
      h('p', { class: 'problem', key: code }, say(`turn-warns.${code}`, facts)),
    ),
    h('p', { class: 'caution' }, cautionWords(say, state.day.policy?.caution)),
    problemBox(say, problem, { isKept: false }),
    NEEDS_REASON.has(problem?.code) &&
      dialogField(state, say, send, { name: 'text', label: say('dialog.anyway') }),
    h(
      'div',
      { class: 'buttons', key: 'confirm' },
      button(say('dialog.no'), close(send), { key: 'no' }),
      button(say('dialog.yes', { what: say(`turn.${turn}`) }), () => send({ type: 'turn-confirmed', turn, text }), {
        key: 'yes',
        look: 'primary',
        isBusy: Boolean(state.pending),
      }),
    ),
  ];
}

/** The order is named in the record: without it nobody could say later why it was done. */
export function extend(state, say, send) {
  const { until } = state.dialog;
  const { closes } = state.day.election;
  return asked(state, say, send, {
    heading: say('correct.extend'),
    yes: say('dialog.extend-yes'),
    content: [
      h('p', { key: 'means' }, say('correct-means.extend')),
      dialogField(state, say, send, {
        name: 'reference',
        label: say('dialog.reference'),
        hint: say('dialog.reference-hint'),
        most: 80,
      }),
      dialogField(state, say, send, {
        name: 'until',
        label: say('dialog.until'),
        hint: say('dialog.until-hint', { closes }),
        most: 5,
      }),
      beforeAfter(
        say('written.closes', { closes }),
        until.trim() ? say('written.extended', { until: asTime(until), closes }) : '…',
        say,
      ),
    ],
  });
}

/** How the day stands once a turn is taken back. */
const PHASE_BEFORE = { 'day.opened': 'not_open', 'line.cut_off': 'open', 'day.closed': 'reopened' };

export function takeBack(state, say, send) {
  const { day, dialog: open } = state;
  const isExtension = open.turn === 'hours.extended';
  return asked(state, say, send, {
    heading: say(`take-back.${open.turn}`),
    yes: say('dialog.take-back-yes'),
    content: [
      h('p', { key: 'means' }, say('correct-means.take-back')),
      beforeAfter(
        isExtension ? say('dialog.extended', day.extended ?? {}) : say(`phase.${day.phase}`, day.election),
        isExtension
          ? say('written.closes', day.election)
          : say(`phase.${PHASE_BEFORE[open.turn]}`, day.election),
        say,
      ),
      dialogField(state, say, send, { name: 'text', label: say('dialog.reason') }),
    ],
  });
}
