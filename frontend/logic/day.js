/**
 * The day, who is signed on, and what arrives from other tables. Pure.
 */

import { announce, focusOn } from './attention.js';
import { layersHalted } from './layers.js';
import { emptySearch } from './search.js';
import { NOBODY } from './sign_on.js';
import { unrecordedOf } from './unrecorded.js';

export const isLead = (state) => state.day?.worker?.role === 'lead';
/** Whether this laptop only follows another one: everything is shown on it and nothing recorded. */
export const isStandby = ({ day }) => Boolean(day?.standby);
export const leadsHere = (state) => isLead(state) && !isStandby(state);

const emptyTable = (state) => ({
  search: { ...emptySearch(), asked: state.search.asked + 1, answered: state.search.asked + 1 },
  sheet: null,
  now: null,
  stations: null,
  needs: null,
  voter: null,
  way: null,
  lists: null,
  late: null,
  dayWork: null,
  paperHours: null,
  confirmation: null,
  notice: null,
  dialog: null,
  pending: null,
  lock: null,
});

/** The day as the server tells it. A page without a worker shows the sign-on view. */
function dayCame(state, { day }) {
  // Taken over: until the laptop records, what it says of the time before counts no more.
  if (state.tookOver && day.standby) return state;
  if (JSON.stringify(day) === JSON.stringify(state.day) && !state.dayProblem) return state;
  const next = copyTold({ ...state, day, dayProblem: null, station: day.station ?? state.station }, state.day);
  if (day.worker && state.view !== 'table') return focusOn({ ...next, view: 'table' }, 'box');
  if (!day.worker && state.view === 'table') return sessionEnded(next);
  if (day.worker) return next;
  const isNew = state.view !== 'sign-on';
  return isNew ? focusOn({ ...next, view: 'sign-on' }, 'initials') : next;
}

// One that no second laptop ever asked for is not missing.
const IS_WELL = new Set(['in-step', 'waiting']);
const failing = (day) => (day?.copies ?? []).filter((copy) => !IS_WELL.has(copy.state));
const holdsMore = ({ why }) => why === 'holds-more';
export const copyFails = (day) => failing(day).length > 0;
/** Whether a copy has what this record has not: people may have signed who look unsigned here. */
export const copyHoldsMore = (day) => failing(day).some(holdsMore);

const copyKey = (day) => `strip.copy-${copyHoldsMore(day) ? 'holds-more' : copyFails(day) ? 'failing' : 'back'}`;

/** That the second copy is not written any more, holds more, or is written again, is said once. */
function copyTold(state, before) {
  const key = copyKey(state.day);
  if (!before || copyKey(before) === key) return state;
  if (!copyFails(state.day)) return announce({ ...state, notice: { key, facts: {} } }, key);
  const notice = state.notice?.key === 'strip.copy-back' ? null : state.notice;
  return announce({ ...state, notice }, key, {}, true);
}

const dayFailed = (state, { problem }) => ({ ...state, dayProblem: problem });

/** The server knows nobody here any more: nothing personal stays on the page. */
function sessionEnded(state) {
  const code = state.pending ? 'session-ended-unsure' : 'session-ended';
  return leftTable(state, { isBusy: false, problem: { code } });
}

const signedOff = (state) => leftTable(state, NOBODY);

export const leftTable = (state, signOn) =>
  focusOn(
    {
      ...state,
      ...emptyTable(state),
      view: 'sign-on',
      day: state.day && { ...state.day, worker: null, counts: null, station: null, head: null },
      signOn,
      said: { key: null, facts: {}, urgent: false, count: state.said.count + 1 },
    },
    'initials',
  );

/** Something happened to the open line at another table. */
function entryCame(state, { entry, time, at }, { layers }) {
  const isHere = state.sheet && isOn(entry, state.sheet.lineId);
  // A table of the same name works at the laptop that is followed.
  const isOwn = entry.station === state.day?.station && !isStandby(state);
  if (!isHere || isOwn) return state;
  const live = { kind: entry.kind, station: entry.station, time };
  if (!HALTS.test(entry.kind)) return { ...state, sheet: { ...state.sheet, live } };
  const unrecorded = unrecordedOf(state.sheet) ?? state.sheet.unrecorded;
  const sheet = { ...state.sheet, live: { ...live, isHalt: true }, isHalted: true, unrecorded };
  const halted = announce({ ...state, sheet }, 'sheet.halted', {}, true);
  return layersHalted(halted, live, at, layers);
}

/** A list that is applied is one event for every line that it touched. */
const isOn = (entry, lineId) =>
  entry.line_id === lineId || Boolean(entry.line_ids?.includes(lineId));

// After these nobody may sign before the rules have said again whether they may.
const HALTS = /^(signature\.recorded|mark\.recorded|line\.removed|late_list\.applied|provisional\.recorded)$/;

/** Whether the open sheet must be loaded again. While our own write is out, its answer tells. */
export const touchesSheet = (state, entry) =>
  Boolean(state.sheet) &&
  (isOn(entry, state.sheet.lineId) || isTurn(entry)) &&
  !(state.pending && state.pending.lineId === state.sheet.lineId);

export const touchesResults = (state, entry) =>
  isTurn(entry) ||
  (entry.kind === 'late_list.applied' && state.search.text.trim() !== '') ||
  state.search.matches.some((match) => isOn(entry, match.line_id));

export const isTurn = (entry) => /^(day\.|line\.cut_off$|hours\.|turn\.)/.test(entry.kind);

/** Told in the strip until the record is through: see logic/pending.js. */
const stayed = (state) =>
  announce({ ...state, notice: { key: 'strip.unsent', facts: {} } }, 'strip.unsent', {}, true);

/** A part of the page did not come: it is fetched again when it is asked for again. */
const partMissing = (state) =>
  announce({ ...state, notice: { key: 'strip.no-part', facts: {} } }, 'strip.no-part', {}, true);

const partCame = (state) => (state.notice?.key === 'strip.no-part' ? { ...state, notice: null } : state);

/** Nothing is lost by it: the slip is written by hand. */
const slipMissing = (state) =>
  announce({ ...state, notice: { key: 'strip.no-slip', facts: {} } }, 'strip.no-slip', {}, true);

export const dayEvents = {
  'part-came': partCame,
  'part-missing': partMissing,
  'slip-missing': slipMissing,
  'day-came': dayCame,
  'day-failed': dayFailed,
  'session-ended': sessionEnded,
  'signed-off': signedOff,
  'sign-off-held': stayed,
  'entry-came': entryCame,
  'language-chosen': (state, { language }) => ({ ...state, language }),
};
