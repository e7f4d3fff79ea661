/**
 * A laptop that follows another one: that it turned, and that it takes over. Pure.
 *
 * `tookOver` is null, or what is told from then on until somebody signs on: `{ isStarting, isTold, seq,
 * head }`. `isStarting` until the server says that it records; `isTold` whether the other laptop was
 * told, null where this page does not know; entry and hash at which the log goes on, null likewise.
 */

import { announce, focusOn } from './attention.js';
import { isLead, isStandby, leftTable } from './day.js';
import { dialogEvents } from './dialog.js';
import { activeStep, maySign } from './sheet.js';
import { NOBODY } from './sign_on.js';

export const isApart = ({ day }) => day?.standby?.state === 'apart';

/** The other laptop says nothing. */
export const mayBeDead = (state) => isApart(state) && state.day.standby.why === 'gone';

/** The other laptop has lost entries that this one keeps: nobody may sign at either. */
export const holdsMore = (state) => isApart(state) && state.day.standby.why === 'holds-more';

// Each is something that the other laptop said.
const SAID = new Set(['refused', 'does-not-fit', 'not-joined', 'holds-more']);

/** It runs: taking over then stops a laptop that works. */
export const isAnswering = (state) => isStandby(state) && (!isApart(state) || SAID.has(state.day.standby.why));

/** What has the focus on a line that only shows: the place where the sign key would be. */
export function placeOnLine(sheet) {
  if (maySign(sheet)) return 'primary';
  return activeStep(sheet)?.code === 'tell-apart' ? 'step' : 'question';
}

/** Said once, each time it turns. */
function turned(state) {
  if (holdsMore(state)) return announce(state, 'standby.holds-more', {}, true);
  return isApart(state)
    ? announce(state, 'standby.apart', { time: state.day.standby.since }, true)
    : announce(state, 'standby.in-step');
}

/** Whether it does not follow any more, or follows again, or holds more now. */
export const hasTurned = (before, state) =>
  isApart(before) !== isApart(state) || (!holdsMore(before) && holdsMore(state));

/** Where the other laptop may be dead the lead's view begins with the one thing that they may have come for. */
const offered = (state) => (state.now && mayBeDead(state) ? focusOn(state, 'take-over') : state);

const wanted = (state) =>
  isStandby(state) && isLead(state) ? dialogEvents['dialog-opened'](state, { type: 'dialog-opened', kind: 'take-over', pin: '' }) : state;

// About the PIN: it is typed anew.
const OF_PIN = new Set(['wrong-pin', 'pin-locked', 'pin-wait']);

/** A PIN that was refused does not stay on the page. */
function refused(state) {
  const { dialog } = state;
  if (dialog?.kind !== 'take-over') return state;
  const place = OF_PIN.has(dialog.problem?.code) ? 'dialog-pin' : 'problem';
  return focusOn({ ...state, dialog: { ...dialog, pin: '' } }, place);
}

const unknown = { isStarting: false, isTold: null, seq: null, head: null };

/** Taken over: nobody is signed on any more, and the laptop begins to record. */
function accepted(state, _write, { is_told: isTold, seq, head }) {
  const next = leftTable(state, NOBODY);
  return focusOn({ ...next, tookOver: { isStarting: true, isTold, seq, head } }, 'took-over');
}

/** The server records: by this page's press, another page's, or from the console. */
function over(state) {
  const tookOver = { ...unknown, ...state.tookOver, isStarting: false };
  const key = tookOver.isTold === false ? 'took-over.not-told' : 'took-over.title';
  return focusOn(announce({ ...state, signOn: NOBODY, tookOver }, key, {}, true), 'took-over');
}

/** Somebody signed on, or it does not begin: what the page says in general counts again. */
const read = (state) => ({ ...state, tookOver: null });

export const standbyPart = {
  events: {
    'standby-turned': turned,
    'standby-over': over,
    'take-over-offered': offered,
    'take-over-wanted': wanted,
    'take-over-refused': refused,
    'took-over-read': read,
  },
  recorded: { 'take-over': accepted },
};
