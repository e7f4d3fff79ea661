/**
 * The whole page as one value, and the one function that moves it on. Pure: no DOM,
 * no fetch, no clock, no storage. Times come in with the events.
 */

import { connectionEvents, unheard } from './connection.js';
import { authorisationEvents } from './authorisations.js';
import { bringEvents } from './bring.js';
import { callEvents } from './call.js';
import { dayEvents } from './day.js';
import { dialogEvents } from './dialog.js';
import { comesTooSoon, keyPressed } from './enter_guard.js';
import { formEvents } from './form.js';
import { helperEvents } from './helper.js';
import { keyingEvents } from './keying.js';
import { lateEvents, lateKeyNoted } from './late.js';
import { lateListEvents } from './late_list.js';
import { listEvents } from './lists.js';
import { pageRowEvents } from './page_rows.js';
import { pastCallEvents } from './past_calls.js';
import { pendingEvents } from './pending.js';
import { emptySearch, searchEvents } from './search.js';
import { sheetEvents } from './sheet.js';
import { NOBODY, signOnEvents } from './sign_on.js';
import { stoppedEvents } from './stopped.js';
import { wayEvents } from './way.js';

export const firstState = ({ language, station, at }) => ({
  language,
  station,
  view: 'waiting',
  day: null,
  dayProblem: null,
  signOn: NOBODY,
  search: emptySearch(),
  sheet: null,
  way: null,
  lists: null,
  late: null,
  confirmation: null,
  notice: null,
  dialog: null,
  pending: null,
  connection: unheard(at),
  focus: { on: null, count: 0 },
  said: { key: null, facts: {}, urgent: false, count: 0 },
});

// These only ask the controller to act: the page changes when its answer comes.
const ASKED_OF_CONTROLLER = [
  'language-asked',
  'sign-off-asked',
  'sign-pressed',
  'card-completed',
  'no-helper',
  'helper-recorded',
  'turn-confirmed',
  'dialog-confirmed',
  'ending-confirmed',
  'form-recorded',
  'slip-asked',
  'proof-asked',
  'row-decided',
  'gone-decided',
  'list-apply-asked',
  'list-page-wanted',
  'list-corrects',
  'call-submitted',
];

/** A key on the uppermost thing that is worked with keys: the way, or the open line. */
function keyNoted(state, key) {
  if (state.late) return lateKeyNoted(state, key);
  const part = state.way ? 'way' : 'sheet';
  const on = state[part];
  return on ? { ...state, [part]: { ...on, guard: keyPressed(on.guard, key) } } : state;
}

const EVENTS = {
  ...authorisationEvents,
  ...connectionEvents,
  ...bringEvents,
  ...callEvents,
  ...dayEvents,
  ...dialogEvents,
  ...formEvents,
  ...helperEvents,
  ...keyingEvents,
  ...lateEvents,
  ...lateListEvents,
  ...listEvents,
  ...pageRowEvents,
  ...pastCallEvents,
  ...pendingEvents,
  ...searchEvents,
  ...sheetEvents,
  ...signOnEvents,
  ...stoppedEvents,
  ...wayEvents,
  ...Object.fromEntries(ASKED_OF_CONTROLLER.map((type) => [type, (state) => state])),
  'key-pressed': keyNoted,
  'look-alike-opened': (state) => ({ ...state, dialog: null, way: null, late: null }),
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
  'move-told',
  'line-way-opened',
]);

// What acts on the way, for the same reason.
const ACTS_ON_WAY = new Set([
  'way-answered',
  'person-chosen',
  'ending-chosen',
  'provisional-declined',
  'ending-confirmed',
  'registrar-again',
  'form-answered',
  'form-recorded',
]);

// What acts on a late list or a call. The box of a list on paper has a guard of its own.
const ACTS_ON_LATE = new Set([
  'row-decided',
  'gone-decided',
  'list-apply-asked',
  'list-corrects',
  'call-read',
  'call-change-chosen',
  'call-voter-chosen',
  'call-submitted',
]);

/** Whether an event is to be dropped unheard: too soon, or while an earlier one is on its way. */
export function isUnmeant(state, event) {
  const on = actedOn(state, event.type);
  if (on === undefined) return false;
  // A line that is being marked at this moment waits for its new verdict.
  if (!on || on.isBusy || on.isHalted || state.pending) return true;
  return comesTooSoon(on.guard, event.at);
}

/** The part that an event acts on; null where it is not open, undefined where none is meant. */
function actedOn(state, type) {
  if (ACTS_ON_LATE.has(type)) return state.late;
  if (ACTS_ON_WAY.has(type)) return state.way;
  return ACTS_ON_LINE.has(type) ? state.sheet : undefined;
}
