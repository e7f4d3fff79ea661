/** The few things that are asked in a dialog: the day's turns, a withdrawal, a write that failed. */

import { cautionWords } from '../logic/coded.js';
import { turnsNow, turnWarnings } from '../logic/day.js';
import { dateWords } from '../logic/wording.js';
import { button, field, problemBox } from './controls.js';
import { h } from './paint.js';

const close = (send) => () => send({ type: 'dialog-closed' });

export const dialog = (state, say, send) =>
  h(
    'dialog',
    {
      class: 'dialog',
      key: `dialog-${state.dialog.kind}`,
      'aria-labelledby': 'dialog-title',
      mounted: (node) => node.showModal(),
      on: {
        // Escape goes through the state, or the page would think the dialog still open.
        cancel: (event) => {
          event.preventDefault();
          send({ type: 'dialog-closed' });
        },
      },
    },
    KINDS[state.dialog.kind](state, say, send),
  );

const KINDS = {
  day: (state, say, send) =>
    state.dialog.turn ? confirmTurn(state, say, send) : turns(state, say, send),
  withdraw,
  'not-recorded': notRecorded,
};

const title = (words) =>
  h('h2', { id: 'dialog-title', tabindex: '-1', 'data-focus': 'dialog' }, words);

function turns(state, say, send) {
  const now = turnsNow(state.day);
  return [
    title(say('dialog.day')),
    h('p', null, say(`phase.${state.day.phase}`, state.day.election)),
    now.length === 0 && h('p', null, say('dialog.no-turns')),
    h(
      'div',
      { class: 'buttons upright', key: 'turns' },
      now.map((turn) =>
        button(say(`turn.${turn}`), () => send({ type: 'dialog-opened', kind: 'day', turn }), { key: turn }),
      ),
      button(say('dialog.back'), close(send), { key: 'back', look: 'quiet' }),
    ),
  ];
}

function confirmTurn(state, say, send) {
  const { turn, problem } = state.dialog;
  const { day } = state;
  const facts = { ...day.election, now: day.local_time, date: dateWords(day.election.date, say.language) };
  return [
    title(say(`turn.${turn}`)),
    h('p', null, say(`turn-means.${turn}`), ' ', h('strong', null, say('dialog.for-good'))),
    h('p', null, say(`turn-now.${turn}`, facts)),
    turnWarnings(day, turn).map((code) =>
      h('p', { class: 'problem', key: code }, say(`turn-warns.${code}`, facts)),
    ),
    h('p', { class: 'caution' }, cautionWords(say, state.day.policy?.caution)),
    problemBox(say, problem, { isKept: false }),
    h(
      'div',
      { class: 'buttons', key: 'confirm' },
      button(say('dialog.no'), close(send), { key: 'no' }),
      button(say('dialog.yes', { what: say(`turn.${turn}`) }), () => send({ type: 'turn-confirmed', turn }), {
        key: 'yes',
        look: 'primary',
        isBusy: Boolean(state.pending),
      }),
    ),
  ];
}

function withdraw(state, say, send) {
  const { text, problem } = state.dialog;
  const confirm = () => send({ type: text.trim() ? 'withdrawal-confirmed' : 'reason-missing' });
  return h(
    'form',
    {
      key: 'withdraw',
      novalidate: true,
      on: {
        submit: (event) => {
          event.preventDefault();
          if (!state.pending) confirm();
        },
      },
    },
    title(say('sheet.withdraw')),
    h('p', null, h('strong', null, state.sheet?.name ?? '')),
    h('p', null, say('dialog.withdraw-means')),
    problemBox(say, problem, { isKept: false }),
    field(
      say('dialog.reason'),
      { id: 'dialog-text', value: text, maxlength: '400', isWrong: problem?.code === 'reason-missing' },
      { input: (event) => send({ type: 'dialog-typed', text: event.target.value }) },
    ),
    h(
      'div',
      { class: 'buttons' },
      button(say('dialog.no'), close(send), { key: 'no' }),
      button(say('dialog.withdraw-yes'), () => {}, {
        key: 'yes',
        look: 'primary',
        type: 'submit',
        isBusy: Boolean(state.pending),
      }),
    ),
  );
}

function notRecorded(state, say, send) {
  const { name, lineId, problem } = state.dialog;
  return [
    title(say('dialog.not-recorded')),
    h('p', null, h('strong', null, name)),
    problemBox(say, problem, { isKept: false }),
    h(
      'div',
      { class: 'buttons' },
      lineId &&
        button(say('dialog.open-line'), () => send({ type: 'look-alike-opened', lineId, name }), {
          key: 'open',
          look: 'primary',
        }),
      button(say('dialog.back'), close(send), { key: 'back' }),
    ),
  ];
}
