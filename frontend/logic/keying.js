/**
 * Keying in a list on paper: one box, Enter looks up, the line is shown large, Enter again
 * marks it. Pure.
 *
 * Nothing is marked that was not shown first: a scan ends with Enter, but that Enter only
 * looks up, and a new text takes away what was shown and not marked, saying so. Where
 * several lines fit a digit chooses; where none does the row is written down as found on no
 * line, which counts too.
 */

import { announce, focusOn } from './attention.js';
import { QUIET_MS } from './enter_guard.js';
import { withLate } from './late_state.js';
import { freshPerson } from './page_person.js';
import { BURST_MS } from './search.js';

export const PAPER_KINDS = ['mail_voted', 'early_voted', 'supplemental', 'removals'];
// As many as have a digit of their own, one of which is "on no line".
export const SHOWN_LINES = 8;

export const freshStart = () => ({ kind: null, name: '', total: '', problems: {}, problem: null });

const freshKeying = (list) => ({
  listId: list.list_id,
  list,
  rows: [],
  // Of a supplemental page: the row that is being filled in. See page_rows.js.
  person: list.kind === 'supplemental' ? freshPerson() : null,
  text: '',
  stage: 'type',
  asked: 0,
  matches: [],
  fits: 0,
  shown: null,
  shownAt: -Infinity,
  lastKeyAt: -Infinity,
  // The digit that chose, in case it was the first of a scan.
  digit: null,
  twice: null,
  sending: null,
  last: null,
  notMarked: '',
  hint: null,
  problem: null,
});

const withStart = (state, changes) => withLate(state, { start: { ...state.late.start, ...changes } });
const withKeying = (state, changes) =>
  withLate(state, { keying: { ...state.late.keying, ...changes } });

/* Starting */

export function startLacks({ kind, name, total }) {
  const isTotal = /^[1-9]\d{0,5}$/.test(total.trim());
  return {
    ...(!kind && { kind: 'list-kind' }),
    ...(!name.trim() && { name: 'list-name' }),
    ...(!isTotal && { total: 'list-total' }),
  };
}

const startTyped = (state, { field, value }) =>
  withStart(state, { [field]: value, problems: {}, problem: null });

function startLacking(state) {
  const problems = startLacks(state.late.start);
  const [first] = Object.keys(problems);
  return first ? focusOn(withStart(state, { problems }), `start-${first}`) : state;
}

/** A list that was just started, or one that is being keyed already. */
export const keyingOpened = (state, { list }) => {
  const late = { ...state.late, screen: 'keying', start: null, list: null, keying: freshKeying(list), problem: null };
  return focusOn({ ...state, late }, list.status === 'keying' ? 'keying-box' : 'late');
};

/* The box */

const inBox = (state, changes) => focusOn(withKeying(state, changes), 'keying-box');

/** What was shown and not marked is told, for as long as the next one is not marked. */
const leftUnmarked = ({ stage, shown, notMarked }) =>
  stage === 'shown' && shown.match ? shown.match.name : notMarked;

function typed(state, { text, at }) {
  const { keying } = state.late;
  // A number, scanned or typed: its first digit chose nothing. What is chosen is read first.
  const isScan = keying.digit && at - keying.digit.at < QUIET_MS;
  return withKeying(state, {
    text: isScan ? keying.digit.key + text : text,
    stage: 'type',
    shown: null,
    twice: null,
    digit: null,
    lastKeyAt: at,
    notMarked: isScan ? keying.notMarked : leftUnmarked(keying),
    hint: null,
    problem: null,
  });
}

function entered(state, { at, repeat }) {
  const { keying } = state.late;
  if (repeat) return state;
  if (keying.stage === 'shown') return markAsked(state, at);
  if (keying.stage === 'several') return announce(withKeying(state, { hint: 'keying.press-digit' }), 'keying.press-digit');
  if (keying.stage !== 'type' || !keying.text.trim()) return state;
  return withKeying(state, { stage: 'looking', asked: keying.asked + 1, problem: null });
}

/** The second Enter: only when what is shown stood there long enough to be read. */
function markAsked(state, at) {
  const { keying } = state.late;
  const isRead = at - keying.shownAt >= QUIET_MS && at - keying.lastKeyAt >= BURST_MS;
  const isWhole = keying.shown.isNone || keying.shown.line;
  if (!isRead || !isWhole) return state;
  if (keying.sending || state.pending) return withKeying(state, { hint: 'keying.one-moment' });
  return inBox(state, {
    stage: 'type',
    text: '',
    shown: null,
    sending: { ...keying.shown, text: keying.text.trim() },
    notMarked: '',
    hint: null,
  });
}

function found(state, { asked, answer, problem, at }) {
  const { keying } = state.late;
  if (asked !== keying.asked || keying.stage !== 'looking') return state;
  if (!answer) return inBox(state, { stage: 'type', problem });
  const next = withKeying(state, { matches: answer.matches, fits: answer.fits });
  if (answer.fits === 1) return lineShown(next, { match: answer.matches[0], at });
  return severalShown(next);
}

const severalShown = (state) => {
  const { fits } = state.late.keying;
  const key = fits ? 'keying.several' : 'keying.no-line';
  return announce(inBox(state, { stage: 'several', shown: null, hint: null }), key, { n: fits });
};

const lineShown = (state, { match, at, isTwice = false }) =>
  inBox(state, {
    stage: 'shown',
    shown: { match, line: null, isNone: false, isTwice },
    shownAt: at,
    hint: null,
    problem: null,
  });

/** The line itself: what stands on it decides what Enter will mean. */
function lineCame(state, { lineId, answer, problem }) {
  const { keying } = state.late;
  if (keying.stage !== 'shown' || keying.shown.match?.line_id !== lineId) return state;
  if (problem) return inBox(state, { stage: 'type', shown: null, problem });
  const next = withKeying(state, { shown: { ...keying.shown, line: answer } });
  const facts = { name: answer.line.name, year: answer.line.birth_date.slice(0, 4) };
  return announce(next, 'keying.said-shown', facts);
}

/** What a digit chooses: the lines in order, then that none of them is meant. */
function digitPressed(state, { key, at }) {
  const { keying } = state.late;
  const digit = { key, at };
  if (keying.stage === 'twice') {
    if (key !== '1') return state;
    return withKeying(lineShown(state, { match: keying.twice.match, at, isTwice: true }), { digit });
  }
  const place = Number(key) - 1;
  const lines = keying.matches.slice(0, SHOWN_LINES);
  if (place < lines.length) return withKeying(lineShown(state, { match: lines[place], at }), { digit });
  if (place > lines.length) return state;
  const none = { match: null, line: null, isNone: true, isTwice: false };
  const next = inBox(state, { stage: 'shown', shown: none, shownAt: at, digit, hint: null });
  return announce(next, 'keying.said-none');
}

/** Arrow down: not this one, show whatever else fits, and that it may be on no line. */
const othersWanted = (state) =>
  state.late.keying.stage === 'shown' && state.late.keying.matches.length
    ? severalShown(state)
    : state;

/** Escape: what is shown goes, then what is typed, then the screen (null). */
export function keyingBack(state) {
  const { keying } = state.late;
  if (keying.person) return keying.person.twice ? inBox(state, { person: { ...keying.person, twice: null } }) : null;
  if (keying.stage !== 'type') {
    return inBox(state, { stage: 'type', shown: null, twice: null, notMarked: leftUnmarked(keying), hint: null });
  }
  return keying.text ? inBox(state, { text: '', notMarked: '', problem: null }) : null;
}

/* What the server says */

const counted = (list, { count, not_found: notFound }) => ({ ...list, count, not_found: notFound });

/** The row is in: told large, with what contradicts it, and the box is free for the next. */
export function rowKeyed(state, write, answer) {
  if (state.late?.keying?.listId !== write.listId) return state;
  const { keying } = state.late;
  const last = { row: answer.row, name: write.name, isUndone: false };
  const next = withKeying(state, {
    list: counted(keying.list, answer),
    rows: [...keying.rows, answer.row],
    sending: null,
    last,
    problem: null,
  });
  const { contradiction } = answer.row;
  const facts = { name: write.name, count: answer.count, total: answer.printed_total };
  const key = contradiction ? 'keying.said-contradicts' : 'keying.said-keyed';
  return announce(next, key, facts, Boolean(contradiction));
}

export function keyRefused(state, write, problem) {
  const { keying } = state.late;
  if (!keying) return state;
  const free = withKeying(state, { sending: null });
  if (problem.code !== 'keyed-already') {
    return inBox(free, { problem: { ...problem, name: write.name } });
  }
  const match = { line_id: write.body.line_id, name: write.name, birth_date: write.birthDate };
  const twice = { ...problem, name: write.name, match };
  const next = inBox(free, { stage: 'twice', twice, shown: null, matches: [], problem: null });
  return announce(next, 'keying.twice', twice, true);
}

export function rowUndone(state, write, answer) {
  const { keying } = state.late ?? {};
  if (!keying) return { ...state, dialog: null };
  const rows = keying.rows.map((each) => (each.row_number === answer.row.row_number ? answer.row : each));
  const last = keying.last && { ...keying.last, isUndone: true };
  const next = withKeying({ ...state, dialog: null }, { rows, last, list: counted(keying.list, answer) });
  return focusOn(announce(next, 'keying.said-undone', { name: write.name }), 'keying-box');
}

export function listFinished(state, _, { list }) {
  const next = { ...state, dialog: null };
  if (!next.late?.keying) return next;
  return focusOn(announce(withKeying(next, { list }), 'keying.said-finished'), 'late');
}

/** Rows that were keyed at another table, too. */
function rowsCame(state, { listId, answer }) {
  const { keying } = state.late;
  if (keying?.listId !== listId || !answer) return state;
  return withKeying(state, { rows: answer.rows, list: answer.list });
}

/** The last row that counts: the one that can be taken back with one key. */
export const lastCounting = (keying) =>
  [...keying.rows].reverse().find((row) => row.decision?.how !== 'undone') ?? null;

export const missing = ({ list }) => list.printed_total - list.count;

const onKeying = (change) => (state, event) => (state.late?.keying ? change(state, event) : state);
const onStart = (change) => (state, event) => (state.late?.start ? change(state, event) : state);

export const keyingEvents = {
  'start-typed': onStart(startTyped),
  'start-submitted': onStart(startLacking),
  'keying-opened': (state, event) => (state.late ? keyingOpened(state, event) : state),
  'keying-rows-came': onKeying(rowsCame),
  'keying-typed': onKeying(typed),
  'keying-entered': onKeying(entered),
  'keying-found': onKeying(found),
  'keying-line-came': onKeying(lineCame),
  'keying-digit': onKeying(digitPressed),
  'keying-others': onKeying(othersWanted),
};
