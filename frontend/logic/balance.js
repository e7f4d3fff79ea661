/** Whether the counts agree: the sum as it is followed, and the causes that fit it. Pure. */

import { focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';
import { whileAtWork, withWork } from './work_state.js';

// As many as a tired person reads; the rest opens on demand.
export const CAUSES_AT_ONCE = 3;
export const LINES_AT_ONCE = 8;

/** A new sum, and the cause that was open is still the one of its code. */
export function balanceCame(state, answer) {
  const { cause } = state.dayWork;
  const same = cause && answer.causes.find((each) => each.code === cause.code && each.delta === cause.delta);
  const next = withWork(state, { balance: answer, cause: same ? { ...same, people: cause.people } : null });
  // The screen of a cause that no longer fits is gone, and with it what had the focus.
  return cause && !same && !state.dialog ? focusOn(next, 'work') : next;
}

/**
 * The sum, line after line: `[name, sign, n]` each. What nobody did is left out, but for what
 * everybody looks for.
 */
export function sumOf({ terms }) {
  const { signatures_printed: printed, signatures_listed: listed, signatures_affidavit: affidavit, left, expected } = terms;
  return [
    ['printed', '', printed],
    ['listed', '+', listed],
    ['affidavit', '+', affidavit],
    ['left', '−', left],
    ['expected', '=', expected],
  ];
}

/** In words: ahead of the table, behind it, agreeing, or not to be told before all is counted. */
export function standingOf({ difference, missing, balances }) {
  if (missing.length) return 'missing';
  if (difference > 0) return 'ahead';
  if (difference < 0) return 'behind';
  return balances ? 'balances' : 'differs';
}

const causeOpened = (state, { place, at }) => {
  const cause = state.dayWork.balance?.causes[place];
  if (!cause) return state;
  const guard = sheetChanged(state.dayWork.guard, at);
  return focusOn(withWork(state, { cause: { ...cause, people: null }, guard }), 'work');
};

const peopleCame = (state, { people }) =>
  state.dayWork.cause ? withWork(state, { cause: { ...state.dayWork.cause, people } }) : state;

export function balanceBack(state, at) {
  if (!state.dayWork.cause) return null;
  return focusOn(withWork(state, { cause: null, guard: sheetChanged(state.dayWork.guard, at) }), 'work');
}

export const balanceEvents = {
  'cause-opened': whileAtWork(causeOpened),
  'cause-people-came': whileAtWork(peopleCame),
};
