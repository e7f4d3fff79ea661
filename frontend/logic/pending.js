/**
 * The one write that is on its way. Pure.
 *
 * It keeps its key until the server has said yes or no: sent again with the same key it
 * is done once, so it may be sent as often as needed. Only a yes is shown as recorded.
 */

import { announce, focusOn } from './attention.js';
import { isStandby } from './day.js';
import { layerOf } from './layers.js';

// The one thing that a laptop which only follows may be told to do.
const TAKE_OVER = 'take-over';
const NOT_HERE = { code: 'read-only-standby' };

/** At a laptop that only follows a record is refused before it is sent, whatever was pressed. */
function started(state, { write }, tables) {
  if (state.pending) return state;
  const begun = {
    ...state,
    pending: { ...write, isWaiting: false, tries: 1 },
    sheet: state.sheet && { ...state.sheet, problem: null },
    way: state.way && { ...state.way, problem: null },
  };
  const isNotHere = isStandby(state) && write.what !== TAKE_OVER;
  return isNotHere ? refused(begun, { key: write.key, problem: NOT_HERE }, tables) : begun;
}

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

/** What is shown then stands in the table `recorded`, by the kind of record. */
function accepted(state, { key, receipt }, tables) {
  const write = state.pending;
  if (write?.key !== key) return state;
  return tables.recorded[write.what](freed(state), write, receipt, tables);
}

/** Nothing is on its way any more, so nothing holds up a sign-off. */
const freed = (state) => ({
  ...state,
  pending: null,
  notice: state.notice?.key === 'strip.unsent' ? null : state.notice,
});

/** A dialog opened while something else was on its way is not about that. */
const isOfDialog = ({ dialog }, { dialogKind }) =>
  Boolean(dialog) && (dialogKind === undefined || dialogKind === dialog.kind);

/** Where a refusal on the open line is told: beside the field that it is about, if it is about one. */
export const placeOfProblem = ({ code }) =>
  ['witness-missing', 'witness-is-voter'].includes(code) ? 'witness-name' : 'problem';

/** A plain no: nothing was recorded. The verdict that comes with it is judged by the caller. */
function refused(state, { key, problem }, { layers }) {
  const write = state.pending;
  if (write?.key !== key) return state;
  const free = freed(state);
  if (isOfDialog(state, write)) return { ...free, dialog: { ...state.dialog, problem } };
  const layer = layerOf(state, write, layers);
  if (layer) return layer.refused(free, write, problem);
  if (state.sheet?.lineId === write.lineId) {
    return focusOn(
      { ...free, sheet: { ...state.sheet, problem: { ...problem, isRefusal: true }, isBusy: false } },
      placeOfProblem(problem),
    );
  }
  const dialog = { kind: 'not-recorded', name: write.name, lineId: write.lineId, problem };
  return announce({ ...free, dialog }, 'unrecorded.title', {}, true);
}

export const pendingEvents = {
  'write-started': started,
  'write-sent-again': sentAgain,
  'write-unanswered': unanswered,
  'write-accepted': accepted,
  'write-refused': refused,
};
