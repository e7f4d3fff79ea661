/**
 * Keying one signature of a page of paper: its place and time, then one box. Enter looks up,
 * the line is shown large, Enter again keys it, and the next row is free. Pure.
 *
 * The server judges the row as of the time on paper. What the paper must show of a step is
 * asked only once it has said which step that is. Nothing is keyed that was not shown first.
 */

import { asTime } from './dialog.js';
import { announce, focusOn } from './attention.js';
import { QUIET_MS, sheetChanged } from './enter_guard.js';
import { SHOWN_LINES } from './keying.js';
import { pageWanted, placeEntered, placeLacking, placeLacks, placeTyped } from './paper_place.js';
import { inBox, nextOrder, openHour, rowCame, rowsOf, whileOpen, withHours, withRow } from './paper_state.js';
import { BURST_MS } from './search.js';

const EMPTY = {
  text: '', stage: 'type', matches: [], fits: 0, shown: null, shownAt: -Infinity, lastKeyAt: -Infinity,
  digit: null, steps: [], step: null, said: {}, helper: '', refused: null, why: '', person: { name: '', number: '' },
  twice: null, notKeyed: '', hint: null, problem: null, problems: {}, isSending: false,
};

/** `settles`: the row that waits, of which the lead looks for the line; `back` is where they were. */
const freshRow = (place, more = {}) => ({ ...EMPTY, place, asked: 0, hasTimes: true, last: null, settles: null, back: null, ...more });

/** Where this worker goes on: behind the last row that they keyed at this station. */
export function rowBegun(state) {
  const { worker, station } = state.day;
  const own = rowsOf(state).filter((row) => row.initials === worker.initials && row.station === station && !row.undone);
  const last = own.at(-1);
  const page = last?.page ?? 1;
  const place = { page: String(page), order: String(nextOrder(rowsOf(state), page)), time: '' };
  const next = withHours(state, { screen: 'keying', row: freshRow(place) });
  return focusOn(next, last ? 'hours-time' : 'hours-page');
}

/** The same place, or for a row that is settled its own, with everything else blank. */
const blank = (state, more = {}) => {
  const { row } = state.paperHours;
  const { place, hasTimes, last, settles, asked } = row;
  return withHours(state, { row: { ...freshRow(place), asked: asked + 1, hasTimes, last, settles, ...more } });
};

const changed = (state, at) => withHours(state, { guard: sheetChanged(state.paperHours.guard, at) });

/* The box */

const leftUnkeyed = ({ stage, shown, notKeyed }) => (stage === 'shown' && shown ? shown.match.name : notKeyed);

/** A new text takes away what was shown and not keyed, saying so. */
function typed(state, { text, at }) {
  const { row } = state.paperHours;
  if (row.isSending) return state;
  const isScan = row.digit && at - row.digit.at < QUIET_MS;
  return withRow(state, {
    text: isScan ? row.digit.key + text : text,
    stage: 'type',
    shown: null,
    digit: null,
    said: {},
    lastKeyAt: at,
    notKeyed: isScan ? row.notKeyed : leftUnkeyed(row),
    hint: null,
    problem: null,
  });
}

function entered(state, { at, repeat }) {
  const { row } = state.paperHours;
  if (repeat || row.isSending) return state;
  if (row.stage === 'shown') return keyAsked(state, at);
  if (row.stage === 'several') return announce(withRow(state, { hint: 'keying.press-digit' }), 'keying.press-digit');
  if (row.stage !== 'type' || !row.text.trim()) return state;
  return withRow(state, { stage: 'looking', asked: row.asked + 1, notKeyed: '', problem: null });
}

function found(state, { asked, answer, problem, at }) {
  const { row } = state.paperHours;
  if (!row || asked !== row.asked || row.stage !== 'looking') return state;
  if (!answer) return inBox(state, { stage: 'type', problem });
  const next = withRow(state, { matches: answer.matches, fits: answer.fits });
  if (answer.fits === 1) return lineShown(next, answer.matches[0], at);
  return severalShown(next);
}

const severalShown = (state) => {
  const { fits } = state.paperHours.row;
  const key = fits ? 'keying.several' : 'on-paper.no-line';
  return announce(inBox(state, { stage: 'several', shown: null, hint: null }), key, { n: fits });
};

const lineShown = (state, match, at) =>
  inBox(state, { stage: 'shown', shown: { match, line: null }, shownAt: at, said: {}, hint: null, problem: null });

/** The line itself: what stands on it decides what Enter will mean. */
function lineCame(state, { lineId, answer, problem }) {
  const { row } = state.paperHours;
  if (row?.stage !== 'shown' || row.shown.match.line_id !== lineId) return state;
  if (problem) return inBox(state, { stage: 'type', shown: null, problem });
  const next = withRow(state, { shown: { ...row.shown, line: answer } });
  return announce(next, 'keying.said-shown', { name: answer.line.name, year: answer.line.birth_date.slice(0, 4) });
}

/** What a digit chooses: the lines in order, then that the person is on none of them. */
function digitPressed(state, { key, at }) {
  const { row } = state.paperHours;
  const place = Number(key) - 1;
  const lines = row.matches.slice(0, SHOWN_LINES);
  if (row.stage !== 'several' || place > lines.length) return state;
  if (place === lines.length) return onNoLine(changed(state, at));
  return withRow(lineShown(state, lines[place], at), { digit: { key, at } });
}

const isNumber = (text) => /^\d[\d\s-]*$/.test(text);

/** Somebody on no line: as they are read; of a row that is settled, why it stays so. */
function onNoLine(state) {
  const { text, settles } = state.paperHours.row;
  if (settles) return focusOn(withRow(state, { stage: 'off', why: '', problems: {} }), 'hours-why');
  const read = text.trim();
  const person = isNumber(read) ? { name: '', number: read } : { name: read, number: '' };
  const next = withRow(state, { stage: 'nobody', person, problems: {}, hint: null });
  return focusOn(announce(next, 'on-paper.said-nobody'), 'hours-name');
}

const othersWanted = (state) =>
  state.paperHours.row.stage === 'shown' && !state.paperHours.row.isSending ? severalShown(state) : state;

/* Sending */

/** The second Enter: only when what is shown stood there long enough to be read. */
function keyAsked(state, at) {
  const { row } = state.paperHours;
  const isRead = at - row.shownAt >= QUIET_MS && at - row.lastKeyAt >= BURST_MS;
  if (!isRead || !row.shown.line) return state;
  return sending(state);
}

/** On its way, unless the place cannot be right: that is told first. */
function sending(state, changes = {}) {
  const { row } = state.paperHours;
  if (state.pending) return withRow(state, { hint: 'keying.one-moment' });
  const lacks = row.settles ? {} : placeLacks(row.place);
  if (Object.keys(lacks).length) return placeLacking(withRow(state, { stage: row.shown ? 'shown' : row.stage }), lacks);
  return withRow(state, { isSending: true, hint: null, problem: null, ...changes });
}

/** What is keyed: of a row that is settled without its place, which is known. */
export function bodyOf({ place, settles, shown, said, person, why, stage }) {
  const at = settles ? {} : { page: Number(place.page), order: Number(place.order), time: asTime(place.time) };
  if (stage === 'off') return { reason: why.trim() };
  if (stage === 'nobody') return { ...at, name: person.name.trim(), number: person.number.trim() };
  return { ...at, line_id: shown.match.line_id, ...said };
}

/** Whom the row is about, as it is told. */
export const nameOf = ({ stage, shown, person, settles }) =>
  stage === 'nobody' ? person.name.trim() || person.number.trim() : (shown?.match.name ?? settles?.name ?? '');

/** What the paper shows of the step that is asked about; the row is sent anew with it. */
const answered = (state, { said }) => {
  const { row } = state.paperHours;
  return sending(withRow(state, { said: { ...row.said, ...said } }));
};

/** Of help in the booth the paper has the helper's name. */
function helperSubmitted(state) {
  const name = state.paperHours.row.helper.trim();
  if (name) return answered(state, { said: { helper: { wanted: true, helper_name: name } } });
  return focusOn(withRow(state, { problems: { helper: 'helper-name' } }), 'hours-helper');
}

/** The paper does not show it: keyed all the same, with the reason. */
const whyWanted = (state, { at }) =>
  focusOn(withRow(changed(state, at), { stage: 'why', why: '', problems: {} }), 'hours-why');

const whySubmitted = (state, { usual }) => {
  const { row } = state.paperHours;
  if (row.stage === 'off' && !row.why.trim()) {
    return focusOn(withRow(state, { problems: { why: 'reason' } }), 'hours-why');
  }
  const more = row.stage === 'why' && { said: { ...row.said, anyway: row.why.trim() || usual } };
  return sending(state, more || {});
};

const twiceMeant = (state) => answered(state, { said: { twice: true } });

const personSubmitted = (state) => {
  const { name, number } = state.paperHours.row.person;
  if (name.trim() || number.trim()) return sending(state);
  return focusOn(withRow(state, { problems: { name: 'name' } }), 'hours-name');
};

/** A field of what is asked about the row. */
function fieldTyped(state, { field, text }) {
  const { person, problems } = state.paperHours.row;
  const cleared = { problems: { ...problems, [field]: null }, problem: null };
  if (field in person) return withRow(state, { person: { ...person, [field]: text }, ...cleared });
  return withRow(state, { [field]: text, ...cleared });
}

/* What the server says */

/** The row is in: what is odd about it is told first, then the next one is free. */
export function rowKeyed(state, write, answer) {
  if (state.paperHours?.openedAt !== write.hoursOpenedAt) return state;
  const { row } = state.paperHours;
  const { effect, name, contradiction } = answer.row;
  const known = rowCame(state, answer);
  const isOdd = answer.flags.length > 0 || Boolean(contradiction) || effect === 'duplicate';
  const last = { ...answer.row, name: name || write.name };
  const next = nextRow(withHours(known, { guard: sheetChanged(known.paperHours.guard, write.at) }), row, last);
  if (!isOdd) return announce(next, `hours-said.${effect}`, { name: last.name, n: answer.tally.standing });
  const told = { row: last, flags: answer.flags, call: contradiction ? answer.call : null };
  return focusOn(announce(withHours(next, { told }), 'on-paper.said-told', { name: last.name }, true), 'hours-told');
}

/** Behind the row that was keyed; whoever settled one goes back to where they were. */
function nextRow(state, before, last) {
  const { page, order } = before.place;
  const place = before.settles ? before.back : { page, order: String(Number(order) + 1), time: '' };
  const hasTimes = before.settles ? before.hasTimes : before.place.time.trim() !== '';
  const next = withHours(state, { row: freshRow(place, { hasTimes, last, asked: before.asked + 1 }) });
  return toNext(next);
}

/** Where the paper has no times the next row begins in the box. */
const toNext = (state) => focusOn(state, state.paperHours.row.hasTimes ? 'hours-time' : 'keying-box');

export const NEVER_ANYWAY = new Set(['polls-not-open', 'not-this-line']);
// About the hour, or the request, and not about the voter: told beneath the box.
const OF_THE_HOUR = new Set(['no-paper-hour', 'not-allowed', 'not-found', 'bad-request', 'token-reused', 'nothing-to-settle', 'not-signed-on']);

export function rowRefused(state, write, problem) {
  const { row } = state.paperHours;
  if (!row) return state;
  const guarded = changed(withRow(state, { isSending: false }), write.at);
  const { code } = problem;
  if (code === 'step-missing') return stepAsked(guarded, problem);
  if (code === 'paper-time-wrong') return timeWrong(guarded, problem);
  if (code === 'keyed-already') {
    const next = withRow(guarded, { stage: 'twice', twice: problem });
    return focusOn(announce(next, 'on-paper.twice', { ...problem, name: write.name }, true), 'hours');
  }
  if (!row.shown || OF_THE_HOUR.has(code)) return focusOn(withRow(guarded, { problem }), 'problem');
  const next = withRow(guarded, { stage: 'refused', refused: problem });
  return focusOn(announce(next, 'on-paper.said-refused', {}, true), 'hours');
}

function stepAsked(state, { steps }) {
  const next = withRow(state, { stage: 'ask', steps, step: steps[0], helper: '', problems: {} });
  return focusOn(announce(next, `paper-step.${steps[0]}`), 'hours');
}

function timeWrong(state, problem) {
  const { row } = state.paperHours;
  const stage = row.stage === 'nobody' ? 'nobody' : 'shown';
  const next = withRow(state, { stage, problems: { time: problem } });
  return focusOn(announce(next, 'hours-wrong.paper-time-wrong', problem, true), 'hours-time');
}

/* Back, and a row that waits */

/** Escape: what is asked goes, then what is shown, then what is typed, then the screen (null). */
export function rowBack(state, at) {
  const { row } = state.paperHours;
  if (row.isSending) return state;
  const guarded = changed(state, at);
  if (row.stage !== 'type') return inBox(guarded, { ...EMPTY, text: row.text, lastKeyAt: row.lastKeyAt, notKeyed: leftUnkeyed(row) });
  if (row.text) return inBox(guarded, { text: '', notKeyed: '', problem: null });
  if (row.settles) return toNext(withHours(guarded, { row: freshRow(row.back, { hasTimes: row.hasTimes, last: row.last, asked: row.asked + 1 }) }));
  return null;
}

/** The lead looks for the line of a row that waits. */
function settleWanted(state, { number, at }) {
  const settles = rowsOf(state).find((row) => row.number === number);
  const { row } = state.paperHours;
  if (!settles || !row) return state;
  const back = row.settles ? row.back : row.place;
  const next = blank(changed(withHours(state, { told: null, form: null }), at), { settles, back });
  return focusOn(next, 'keying-box');
}

const offWanted = (state, { at }) => (state.paperHours.row.settles ? onNoLine(changed(state, at)) : state);

const onRow = (change) =>
  whileOpen((state, event) => (state.paperHours.row && openHour(state) ? change(state, event) : state));

export const paperRowEvents = {
  'hours-place-typed': onRow(placeTyped),
  'hours-place-entered': onRow(placeEntered),
  'hours-page-wanted': onRow(pageWanted),
  'hours-typed': onRow(typed),
  'hours-entered': onRow(entered),
  'hours-found': onRow(found),
  'hours-line-came': onRow(lineCame),
  'hours-digit': onRow(digitPressed),
  'hours-others': onRow(othersWanted),
  'hours-answered': onRow(answered),
  'hours-field-typed': onRow(fieldTyped),
  'hours-helper-submitted': onRow(helperSubmitted),
  'hours-why-wanted': onRow(whyWanted),
  'hours-why-submitted': onRow(whySubmitted),
  'hours-twice-meant': onRow(twiceMeant),
  'hours-person-submitted': onRow(personSubmitted),
  'hours-settle-wanted': onRow(settleWanted),
  'hours-off-wanted': onRow(offWanted),
};
