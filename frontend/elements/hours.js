/** The day's turns: taken, taken back, and hours extended by an order. */

import { cautionWords } from '../logic/coded.js';
import { isLead, isStandby, leadsHere } from '../logic/day.js';
import { asTime } from '../logic/dialog.js';
import { mayKey } from '../logic/late_state.js';
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
  const now = leadsHere(state) ? turnsNow(day) : [];
  const back = leadsHere(state) ? turnsToTakeBack(day) : [];
  const open = (given) => () => send({ type: 'dialog-opened', ...given });
  const isNothing = leadsHere(state) && !now.length && !back.length;
  return [
    title(say('dialog.day')),
    h('p', null, say(`phase.${day.phase}`, day.election)),
    day.extended && h('p', null, say('dialog.extended', day.extended)),
    day.extended?.end_is_marked === false &&
      h('p', { class: 'problem', key: 'unmarked' }, say('dialog.unmarked', day.election)),
    dayWorks(state, say, send),
    isNothing && h('p', null, say('dialog.no-turns')),
    h(
      'div',
      { class: 'buttons upright', key: 'turns' },
      now.map((turn) => button(say(`turn.${turn}`), open({ kind: 'day', turn }), { key: turn })),
      leadsHere(state) && mayExtend(day) && button(say('correct.extend'), open({ kind: 'extend' }), { key: 'extend' }),
      back.map((turn) =>
        button(say(`take-back.${turn}`), open({ kind: 'take-back', turn }), { key: `back-${turn}` }),
      ),
      button(say('dialog.back'), close(send), { key: 'back', look: 'quiet' }),
    ),
  ];
}

/** What is done before and beside the turns: each opens its screen. */
function dayWorks(state, say, send) {
  // Checks are only there to be ticked.
  const checked = isStandby(state) ? ['machines', 'seals'] : ['opening', 'machines', 'seals', 'closing'];
  const screens = [...checked, ...(isLead(state) ? ['balance', 'papers'] : [])];
  return h(
    'div',
    { class: 'buttons works', key: 'works' },
    screens.map((screen) =>
      button(say(`day-work.${screen}`), (event) => send({ type: 'work-opened', screen, at: event.timeStamp }), { key: screen }),
    ),
    mayKey(state) && button(say('day-work.paper-hours'), (event) => send({ type: 'paper-hours-opened', at: event.timeStamp }), { key: 'paper-hours' }),
  );
}

/** With a reason in writing the lead may open or close all the same. */
const NEEDS_REASON = new Set(['opening-not-ready', 'does-not-balance']);
// More of them do not fit beside the reason on a small window.
const LACKS_AT_ONCE = 3;

/** Enter in the reason confirms, as in every other dialog. */
function confirmTurn(state, say, send) {
  const { turn, problem, text } = state.dialog;
  return h(
    'form',
    {
      key: 'turn',
      novalidate: true,
      on: {
        submit: (event) => {
          event.preventDefault();
          if (!state.pending) send({ type: 'turn-confirmed', turn, text });
        },
      },
    },
    turnSentences(state, say),
    whyAllTheSame(state, say, send),
    h('p', { class: 'caution' }, cautionWords(say, state.day.policy?.caution)),
    refusal(problem, say),
    h(
      'div',
      { class: 'buttons', key: 'confirm' },
      button(say('dialog.no'), close(send), { key: 'no' }),
      button(say('dialog.yes', { what: say(`turn.${turn}`) }), () => {}, { key: 'yes', look: 'primary', type: 'submit', isBusy: Boolean(state.pending) }),
    ),
  );
}

/** What is missing is told with what to do about it; any other problem as everywhere. */
const refusal = (problem, say) =>
  NEEDS_REASON.has(problem?.code)
    ? h('p', { class: 'problem', key: 'refused', role: 'alert' }, say(`turn-refused.${problem.code}`))
    : problemBox(say, problem, { isKept: false });

function turnSentences({ dialog: { turn }, day }, say) {
  const facts = { ...day.election, now: day.local_time, date: dateWords(day.election.date, say.language) };
  return [
    title(say(`turn.${turn}`)),
    h('p', null, say(`turn-means.${turn}`), ' ', h('strong', null, say('dialog.in-record'))),
    h('p', null, say(`turn-now.${turn}`, facts)),
    turnWarnings(day, turn).map((code) => h('p', { class: 'problem', key: code }, say(`turn-warns.${code}`, facts))),
  ];
}

/** What is missing, if the screen that it was opened from knows it, and the reason in writing. */
function whyAllTheSame(state, say, send) {
  const { problem, text, lacks } = state.dialog;
  const isLacking = lacks?.length > 0;
  return [
    isLacking && h('p', { key: 'lacks' }, say('dialog.lacks')),
    isLacking && h('ul', { class: 'reasons', key: 'lacking' }, lacks.slice(0, LACKS_AT_ONCE).map((words) => h('li', null, words))),
    lacks?.length > LACKS_AT_ONCE && h('p', { key: 'more' }, say('dialog.lacks-more', { n: lacks.length - LACKS_AT_ONCE })),
    // Typing takes the problem off, and must not take the field away under the hand.
    (NEEDS_REASON.has(problem?.code) || isLacking || text) &&
      dialogField(state, say, send, { name: 'text', label: say('dialog.anyway') }),
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
