/**
 * The whole page as one value, and the one function that moves it on. Pure: no DOM,
 * no fetch, no clock, no storage. Times come in with the events.
 *
 * Here stands what every table needs. The rarer screens are parts that come when they are
 * first asked for (see parts.js): each brings tables of the same shape as `TABLE`.
 */

import { connectionEvents, unheard } from './connection.js';
import { dayEvents } from './day.js';
import { comesTooSoon, keyPressed } from './enter_guard.js';
import { dialogClosed, escapeEvent, slotOfKeys } from './layers.js';
import { asServerCovers, freshCover, idled, lockEvents } from './lock.js';
import { pendingEvents } from './pending.js';
import { recordedAtTable } from './recorded.js';
import { emptySearch, searchEvents } from './search.js';
import { seenHeadEvents } from './seen_head.js';
import { sheetEvents } from './sheet.js';
import { NOBODY, signOnEvents } from './sign_on.js';

/** What a part owns is null until the part is here. */
export const firstState = ({ language, station, at, wasCovered = false }) => ({
  language,
  station,
  view: 'waiting',
  day: null,
  dayProblem: null,
  signOn: NOBODY,
  search: emptySearch(),
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
  practice: null,
  tookOver: null,
  olderRecord: null,
  confirmation: null,
  notice: null,
  dialog: null,
  pending: null,
  connection: unheard(at),
  activeAt: at,
  lock: wasCovered ? freshCover() : null,
  focus: { on: null, count: 0 },
  said: { key: null, facts: {}, urgent: false, count: 0 },
});

/** Events that only ask the acts to do something: the page changes when the answer comes. */
export const onlyAsked = (...types) => Object.fromEntries(types.map((type) => [type, (state) => state]));

/** A key on the uppermost thing that is worked with keys. */
function keyNoted(state, key) {
  const slot = slotOfKeys(state);
  if (!slot) return state;
  return { ...state, [slot]: { ...state[slot], guard: keyPressed(state[slot].guard, key) } };
}

/** Which slot each of these events acts on: see `isUnmeant`. */
export const actOn = (slot, ...types) => Object.fromEntries(types.map((type) => [type, slot]));

export const TABLE = {
  events: {
    ...connectionEvents,
    ...dayEvents,
    ...lockEvents,
    ...pendingEvents,
    ...searchEvents,
    ...seenHeadEvents,
    ...sheetEvents,
    ...signOnEvents,
    ...onlyAsked('language-asked', 'sign-off-asked', 'card-completed', 'no-helper', 'slip-asked'),
    'clock-ticked': (state, event) => idled(connectionEvents['clock-ticked'](state, event), event),
    'day-came': (state, event) => asServerCovers(dayEvents['day-came'](state, event)),
    'dialog-closed': dialogClosed,
    'key-pressed': keyNoted,
    'look-alike-opened': (state) => ({ ...state, dialog: null, now: null, way: null, late: null, dayWork: null, paperHours: null }),
  },
  // What acts on the open line: none of these may come from a bounce, a double click or a scan.
  guarded: actOn(
    'sheet',
    'answered',
    'ask-again-pressed',
    'first-name-chosen',
    'sign-pressed',
    'card-completed',
    'no-helper',
    'helper-wanted',
    'witness-wanted',
    'move-told',
    'line-way-opened',
  ),
  // What is shown once the server has said yes, by the kind of record.
  recorded: recordedAtTable,
  layers: {},
  // What a dialog goes back to, by its kind: `{ dialog, place }`, or null where it just goes.
  dialogsBehind: {},
};

const together = (kind, parts) => Object.assign({}, ...parts.map((part) => part[kind]));

/** The page with these further parts: the functions that move it on. */
export function pageOf(...parts) {
  const all = [TABLE, ...parts];
  const events = together('events', all);
  const guarded = together('guarded', all);
  const tables = {
    layers: together('layers', all),
    recorded: together('recorded', all),
    dialogsBehind: together('dialogsBehind', all),
  };

  return {
    update(state, event) {
      const change = events[event.type];
      if (!change) throw new Error(`no such event: ${event.type}`);
      return change(state, event, tables);
    },

    /** Whether an event is to be dropped unheard: too soon, or while an earlier one is on its way. */
    isUnmeant(state, event) {
      const slot = guarded[event.type];
      if (!slot) return false;
      const on = state[slot];
      // A line that is being marked at this moment waits for its new verdict.
      if (!on || on.isBusy || on.isHalted || state.pending) return true;
      return comesTooSoon(on.guard, event.at);
    },

    /** What Escape means, by what lies uppermost. */
    escapeEvent: (state, at) => escapeEvent(state, tables.layers, at),
  };
}

/** Whether anything to be seen differs: the clock, keys and the server's answers come all the time. */
export const isSeen = (before, state) =>
  Object.keys(state).some((part) =>
    part === 'connection'
      ? before.connection.isReachable !== state.connection.isReachable
      : part !== 'activeAt' && before[part] !== state[part],
  );

/**
 * Whether what was pressed in `before` still means the same now: the worker may have gone on to
 * somebody else, or signed off, while the part of the page that it needs was being fetched.
 */
export const isSameSubject = (before, state) => {
  const told = subjectOf(state);
  return subjectOf(before).every((each, place) => each === told[place]);
};

const subjectOf = ({ view, day, sheet, search, now, way, late, dayWork, paperHours, lists, dialog, confirmation }) => [
  view,
  day?.worker?.worker_id,
  sheet?.lineId,
  search.text,
  way?.openedAt,
  late?.openedAt,
  dayWork?.openedAt,
  paperHours?.openedAt,
  Boolean(now),
  Boolean(lists),
  dialog?.kind,
  confirmation?.seq,
];
