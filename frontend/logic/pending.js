/**
 * The one write that is on its way. Pure.
 *
 * It keeps its key until the server has said yes or no: sent again with the same key it
 * is done once, so it may be sent as often as needed. Only a yes is shown as recorded.
 */

import { announce, focusOn } from './attention.js';
import { emptySearch } from './search.js';

const started = (state, { write }) =>
  state.pending
    ? state
    : {
        ...state,
        pending: { ...write, isWaiting: false, tries: 1 },
        sheet: state.sheet && { ...state.sheet, problem: null },
      };

const sentAgain = (state) => {
  const { pending } = state;
  return { ...state, pending: { ...pending, isWaiting: false, tries: pending.tries + 1 } };
};

// A server that fails in the same way this often will not do better: a person must look.
const MOST_MISHAPS = 5;

/** Whether an answer to a write is neither yes nor no, so that it must be sent again. */
export function isUnanswered(answer, pending) {
  const code = answer?.body.code;
  if (code === 'unexpected') return pending.tries < MOST_MISHAPS;
  return !answer || code === 'outcome-unknown' || (answer.status >= 500 && !code);
}

/** Neither yes nor no: the network failed, or the server could not tell. */
function unanswered(state, { key }) {
  if (state.pending?.key !== key || state.pending.isWaiting) return state;
  return announce(
    { ...state, pending: { ...state.pending, isWaiting: true } },
    'strip.waiting',
    {},
    true,
  );
}

export const isDueAgain = (state) =>
  Boolean(state.pending?.isWaiting && state.connection.isReachable);

/** The worker has gone on to somebody else while the write was out: do not take that away. */
const isBusyElsewhere = (state, write) =>
  state.sheet ? state.sheet.lineId !== write.lineId : state.search.text !== write.searchText;

const recorded = {
  signature: signatureRecorded,
  withdrawal: withdrawn,
  'address-confirmation': (state) => announce(state, 'steps.recorded'),
  assistance: (state) => announce(state, 'steps.recorded'),
  turn: (state) =>
    focusOn({ ...state, dialog: null }, state.sheet ? 'verdict' : 'box'),
};

function accepted(state, { key, receipt }) {
  const write = state.pending;
  if (write?.key !== key) return state;
  return recorded[write.what](freed(state), write, receipt);
}

/** Nothing is on its way any more, so nothing holds up a sign-off. */
const freed = (state) => ({
  ...state,
  pending: null,
  notice: state.notice?.key === 'strip.unsent' ? null : state.notice,
});

function signatureRecorded(state, write, receipt) {
  const facts = { name: write.name, time: receipt.local_time, button: write.ballotButton };
  return confirmed(state, write, receipt, { key: 'signing.recorded', facts }, {
    kind: 'signed',
    ballotButton: write.ballotButton,
    how: write.body.how,
  });
}

/** The line is free to sign again, but nothing invites to: the next Enter signs nobody. */
function withdrawn(state, write, receipt) {
  const told = { key: 'signing.withdrawn', facts: { name: write.name } };
  return confirmed({ ...state, dialog: null }, write, receipt, told, { kind: 'withdrawn' });
}

/** Ready for the next voter, with `what` was recorded in sight; or told beside another's sheet. */
function confirmed(state, write, receipt, told, what) {
  if (isBusyElsewhere(state, write)) {
    return announce({ ...state, notice: told }, told.key, told.facts);
  }
  const asked = state.search.asked + 1;
  const cleared = {
    ...state,
    sheet: null,
    notice: null,
    search: { ...emptySearch(), asked, answered: asked },
    confirmation: {
      ...what,
      lineId: write.lineId,
      name: write.name,
      localTime: receipt.local_time,
      initials: receipt.initials,
    },
  };
  return focusOn(announce(cleared, told.key, told.facts), 'box');
}

/** A plain no: nothing was recorded. The verdict that comes with it is judged by the caller. */
function refused(state, { key, problem }) {
  const write = state.pending;
  if (write?.key !== key) return state;
  const free = freed(state);
  if (state.dialog) return { ...free, dialog: { ...state.dialog, problem } };
  if (state.sheet?.lineId === write.lineId) {
    return focusOn(
      { ...free, sheet: { ...state.sheet, problem: { ...problem, isRefusal: true }, isBusy: false } },
      'problem',
    );
  }
  const dialog = { kind: 'not-recorded', name: write.name, lineId: write.lineId, problem };
  return announce({ ...free, dialog }, 'dialog.not-recorded', {}, true);
}

export const pendingEvents = {
  'write-started': started,
  'write-sent-again': sentAgain,
  'write-unanswered': unanswered,
  'write-accepted': accepted,
  'write-refused': refused,
};
