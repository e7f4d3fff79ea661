/**
 * The whole page as one value, and the one function that moves it on. Pure: no DOM,
 * no fetch, no clock, no storage. Times come in with the events.
 */

import { comesTooSoon } from './enter_guard.js';
import { connectionEvents, unheard } from './connection.js';
import { dayEvents } from './day.js';
import { pendingEvents } from './pending.js';
import { emptySearch, searchEvents } from './search.js';
import { sheetEvents } from './sheet.js';
import { NOBODY, signOnEvents } from './sign_on.js';

export const firstState = ({ language, station, at }) => ({
  language,
  station,
  view: 'waiting',
  day: null,
  dayProblem: null,
  signOn: NOBODY,
  search: emptySearch(),
  sheet: null,
  confirmation: null,
  notice: null,
  dialog: null,
  pending: null,
  connection: unheard(at),
  focus: { on: null, count: 0 },
  said: { key: null, facts: {}, urgent: false, count: 0 },
});

const EVENTS = {
  ...connectionEvents,
  ...dayEvents,
  ...pendingEvents,
  ...searchEvents,
  ...sheetEvents,
  ...signOnEvents,
  // These only ask the controller to act: the page changes when its answer comes.
  'language-asked': (state) => state,
  'sign-pressed': (state) => state,
  'card-completed': (state) => state,
  'no-helper': (state) => state,
  'helper-recorded': (state) => state,
  'look-alike-opened': (state) => ({ ...state, dialog: null }),
  'turn-confirmed': (state) => state,
  'withdrawal-confirmed': (state) => state,
  'sign-off-asked': (state) => state,
};

export function update(state, event) {
  const change = EVENTS[event.type];
  if (!change) throw new Error(`no such event: ${event.type}`);
  return change(state, event);
}

/** Whether anything to be seen differs: the clock and the server's answers come all the time. */
export const isSeen = (before, state) =>
  Object.keys(state).some((part) =>
    part === 'connection'
      ? before.connection.isReachable !== state.connection.isReachable
      : before[part] !== state[part],
  );

// What acts on the open line: none of these may come from a bounce, a double click or a scan.
const ACTS_ON_LINE = new Set([
  'answered',
  'ask-again-pressed',
  'first-name-chosen',
  'sign-pressed',
  'card-completed',
  'no-helper',
  'helper-wanted',
  'helper-recorded',
]);

/** Whether an event is to be dropped unheard: too soon, or while an earlier one is on its way. */
export function isUnmeant(state, event) {
  if (!ACTS_ON_LINE.has(event.type)) return false;
  const { sheet } = state;
  if (!sheet || sheet.isBusy || state.pending) return true;
  return comesTooSoon(sheet.guard, event.at);
}
