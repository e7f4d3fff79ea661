/**
 * The checks of the opening and the close, ticked one after the other; one that is not right
 * is written up at once, and whom to call is told before the next. Pure.
 */

import { announce, focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';
import { whileAtWork, withWork } from './work_state.js';

export const checklistOf = ({ dayWork }) => dayWork.checks[dayWork.screen];

const isRight = (item) => item.tick?.passed === true;

/** `{ right, all, missing, failed }`: what is checked, and what is required and is not. */
export const tally = ({ items, missing, failed }) => ({
  right: items.filter(isRight).length,
  all: items.length,
  missing: missing.length,
  failed: failed.length,
});

export const placeOfCheck = (code) => `check-${code}`;
const ONWARDS = 'work-onwards';

/** The next check after `code` that is not right yet, then those before it; null where all are. */
export function nextCheck({ items }, code) {
  const at = items.findIndex((item) => item.code === code);
  const inTurn = [...items.slice(at + 1), ...items.slice(0, at + 1)];
  return inTurn.find((item) => !item.tick)?.code ?? null;
}

function toCheck(state, code) {
  if (!code) return focusOn(withWork(state, { row: null }), ONWARDS);
  return focusOn(withWork(state, { row: code }), placeOfCheck(code));
}

/** Where the work begins, or goes on. */
export function toFirstCheck(state) {
  const list = checklistOf(state);
  return list ? toCheck(state, nextCheck(list, null)) : focusOn(state, 'work');
}

/** The list as the server tells it; the first time the first open check gets the focus. */
export function checksCame(state, answer) {
  const isFirst = !checklistOf(state);
  const { checks, screen } = state.dayWork;
  const next = withWork(state, { checks: { ...checks, [screen]: answer } });
  return isFirst && !state.dialog ? toFirstCheck(next) : next;
}

/** The list with this tick, as the server will tell it. */
export function withTick(list, code, tick) {
  const items = list.items.map((item) => (item.code === code ? { ...item, tick } : item));
  const required = items.filter((item) => item.required);
  const missing = required.filter((item) => !item.tick).map((item) => item.code);
  const failed = required.filter((item) => item.tick?.passed === false).map((item) => item.code);
  return { ...list, items, missing, failed, ready: !missing.length && !failed.length };
}

const reached = (state, { code }) => (state.dayWork.row === code ? state : withWork(state, { row: code }));

/** Ticked already: Enter goes on. The write itself is begun by the acts. */
function ticked(state, { code }) {
  const list = checklistOf(state);
  const item = list?.items.find((each) => each.code === code);
  return item && isRight(item) ? toCheck(state, nextCheck(list, code)) : withWork(state, { problem: null });
}

/** Whether pressing a check writes anything. */
export const isToTick = (state, code) => {
  const item = state.dayWork && checklistOf(state)?.items.find((each) => each.code === code);
  return Boolean(item) && !isRight(item);
};

const wrongAsked = (state, { code }) =>
  focusOn(withWork(state, { row: code, failing: { code, note: '', problem: null }, problem: null }), 'check-note');

const noteTyped = (state, { text }) =>
  state.dayWork.failing ? withWork(state, { failing: { ...state.dayWork.failing, note: text, problem: null } }) : state;

function wrongSubmitted(state) {
  const { failing } = state.dayWork;
  if (!failing || failing.note.trim()) return state;
  return focusOn(withWork(state, { failing: { ...failing, problem: 'what-missing' } }), 'check-note');
}

/** Recorded: the next check, or whom to call about this one. */
export function tickRecorded(state, write, receipt) {
  if (state.dayWork?.openedAt !== write.workOpenedAt) return state;
  const { checks } = state.dayWork;
  const { code, passed, note } = write.body;
  const tick = { ...receipt, passed, note };
  const list = checks[write.stage] && withTick(checks[write.stage], code, tick);
  const guard = sheetChanged(state.dayWork.guard, write.at);
  const next = withWork(state, { checks: { ...checks, [write.stage]: list }, failing: null, guard });
  if (state.dayWork.screen !== write.stage) return next;
  if (receipt.call) {
    const told = { call: receipt.call, flags: [], code };
    return focusOn(announce(withWork(next, { told }), 'work.said-call', receipt.call, true), 'work-told');
  }
  const { right, all } = tally(list);
  return toCheck(announce(next, 'work.said-right', { right, all }), nextCheck(list, code));
}

export function tickRefused(state, write, problem) {
  const { failing } = state.dayWork;
  const next = withWork(state, { problem, failing: failing && { ...failing, problem: null } });
  return focusOn(next, 'problem');
}

/** Back from what is told, or from saying what is wrong; null where neither is open. */
export function checksBack(state) {
  const { told, failing } = state.dayWork;
  if (told) return toldRead(state);
  return failing ? toCheck(withWork(state, { failing: null }), failing.code) : null;
}

/** Read: on with the next check, or with the screen. */
export function toldRead(state) {
  const { told } = state.dayWork;
  const next = withWork(state, { told: null });
  const list = told?.code && checklistOf(next);
  return list ? toCheck(next, nextCheck(list, told.code)) : focusOn(next, 'work');
}

export const checkEvents = {
  'check-reached': whileAtWork(reached),
  'check-ticked': whileAtWork(ticked),
  'check-wrong-asked': whileAtWork(wrongAsked),
  'check-note-typed': whileAtWork(noteTyped),
  'check-wrong-submitted': whileAtWork(wrongSubmitted),
  'told-read': whileAtWork(toldRead),
};
