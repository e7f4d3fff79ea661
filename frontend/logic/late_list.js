/**
 * One late list: what it would do, the rows that need a person, settled one at a time, and
 * what still needs a person once it was applied. Pure.
 *
 * The server judges every row; here is only which of them is in front of the lead.
 */

import { announce, focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';
import { withLate } from './late_state.js';
import { emptySeek } from './seeking.js';

export const ROWS_AT_ONCE = 50;

const freshList = (listId, isAgain = false) => ({
  listId,
  // The very same draft was brought before.
  isAgain,
  preview: null,
  open: null,
  contradicting: null,
  page: null,
  // The row, or the person no longer listed, in front of the lead.
  row: null,
  gone: null,
  stage: null,
  reason: '',
  lack: null,
  isItsOwn: false,
  wasApplied: null,
  isBusy: true,
});

const withList = (state, changes) => withLate(state, { list: { ...state.late.list, ...changes } });
const changed = (state, at) => withLate(state, { guard: sheetChanged(state.late.guard, at) });

function wanted(state, { listId, isAgain, at }) {
  const next = withLate(changed(state, at), {
    screen: 'list', list: freshList(listId, isAgain), bring: null, problem: null, seek: emptySeek(), isLeaving: false,
  });
  return focusOn(next, 'late');
}

/** `answer`: the list as it stands, its open rows, and those that contradict a line. */
function came(state, { listId, answer, problem, at }) {
  const { list } = state.late;
  if (list?.listId !== listId) return state;
  if (problem) return focusOn(withLate(withList(state, { isBusy: false }), { problem }), 'problem');
  const isFirst = list.preview === null;
  const next = withList(withLate(state, { problem: null }), { ...answer, isBusy: false });
  if (!isFirst) return next;
  return focusOn(announce(changed(next, at), 'listed.said', { n: answer.preview.list.tally.open }), 'late');
}

const pageCame = (state, { only, from, rows, count }) =>
  withList(state, { page: { only, from, rows, count } });

/* Settling one row */

function rowOpened(state, { row, at }) {
  const next = withList(changed(state, at), { row, gone: null, stage: null, reason: '', lack: null });
  return focusOn(withLate(next, { seek: emptySeek(), problem: null }), 'late');
}

function goneOpened(state, { gone, stage, at }) {
  const next = withList(changed(state, at), { row: null, gone, stage, reason: '', lack: null });
  return focusOn(withLate(next, { problem: null }), 'late-reason');
}

const STAGE_PLACE = { seek: 'sought', refuse: 'late-reason' };

function staged(state, { stage, at }) {
  const next = withList(changed(state, at), { stage, lack: null });
  return focusOn(withLate(next, { seek: emptySeek() }), STAGE_PLACE[stage] ?? 'late');
}

const reasonTyped = (state, { text }) => withList(state, { reason: text, lack: null });

const lacking = (state) => focusOn(withList(state, { lack: 'reason' }), 'late-reason');

/** Escape: out of the stage, then out of the row, then off the list (null). */
export function listBack(state, at) {
  const { list } = state.late;
  if (list.row && list.stage) return staged(state, { stage: null, at });
  if (!list.row && !list.gone) return null;
  const next = withList(changed(state, at), { row: null, gone: null, stage: null });
  return focusOn(withLate(next, { problem: null }), 'late');
}

/** The list that most rows stand by already is another one: this one is weighed by itself. */
const keptApart = (state) => focusOn(withList(state, { isItsOwn: true }), 'late');

/** A row was settled: the next one that is open takes its place. */
export function rowSettled(state, _, { row, tally }) {
  const { list } = state.late ?? {};
  if (!list?.preview) return state;
  const left = list.open.rows.filter((each) => each.row_number !== row.row_number);
  const isOpen = row.effect === 'settle' && !row.decision;
  const open = { rows: isOpen ? [...left, row] : left, count: tally.open };
  const preview = { ...list.preview, list: { ...list.preview.list, tally } };
  const next = withList(withLate(state, { problem: null, seek: emptySeek() }), {
    open, preview, row: isOpen ? row : (left[0] ?? null), stage: null, reason: '', lack: null,
  });
  const key = left.length ? 'listed.said-next' : 'listed.said-all-settled';
  return focusOn(announce(next, key, { n: tally.open }), 'late');
}

export function listApplied(state, _, answer) {
  const { list } = state.late ?? {};
  if (!list?.preview) return state;
  const preview = { ...list.preview, list: answer.list, gone: answer.gone };
  const next = withList(withLate(state, { problem: null }), { preview, wasApplied: answer, row: null, stage: null });
  return focusOn(announce(next, 'listed.said-applied'), 'late');
}

export function goneSettled(state, _, { gone }) {
  const { list } = state.late ?? {};
  if (!list?.preview) return state;
  const each = list.preview.gone.map((one) => (one.line_id === gone.line_id ? gone : one));
  const next = withList(withLate(state, { problem: null }), {
    preview: { ...list.preview, gone: each }, gone: null, stage: null, reason: '',
  });
  return focusOn(announce(next, 'listed.said-gone'), 'late');
}

/** How many rows would do what, in the order in which they are told; the sum is `rows`. */
export const sumOf = (tally) =>
  ['applied', 'already', 'settled', 'refused', 'open'].map((part) => [part, tally[part]]);

// These change a line by themselves; any other row waits for a person, or is left off.
const APPLIES = new Set(['mark', 'remove', 'add']);

/** How many irregularities applying would open: rows that wait for a person open none yet. */
export const clashesNow = ({ rows, count }) =>
  rows.filter((row) => APPLIES.has(row.effect)).length + Math.max(0, count - rows.length);

/** People of the list that this one corrects, whom it no longer names and nobody decided about. */
export const goneOpen = (preview) => (preview.gone ?? []).filter((each) => each.decision === null);

const onList = (change) => (state, event) => (state.late?.list ? change(state, event) : state);

/** Nothing is lost by it: the list and its count stand in the record. */
const proofMissing = (state) =>
  announce({ ...state, notice: { key: 'listed.no-proof', facts: {} } }, 'listed.no-proof', {}, true);

export const lateListEvents = {
  'list-wanted': (state, event) => (state.late ? wanted(state, event) : state),
  'list-came': onList(came),
  'list-page-came': onList(pageCame),
  'row-opened': onList(rowOpened),
  'gone-opened': onList(goneOpened),
  'row-staged': onList(staged),
  'late-reason-typed': onList(reasonTyped),
  'late-reason-lacking': onList(lacking),
  'list-kept-apart': onList(keptApart),
  'proof-missing': proofMissing,
};
