/**
 * Hours on paper: going over to the printed register, catching up what was signed on it, and
 * the count at the end. Which screen is open, and one step back from each. What happens on it
 * stands in paper_row and paper_forms. Pure.
 */

import { focusOn } from './attention.js';
import { isLead } from './day.js';
import { freshGuard, sheetChanged } from './enter_guard.js';
import { placeBehind } from './layers.js';
import { formBack, formBegun, formRefused } from './paper_forms.js';
import { rowBack, rowBegun, rowRefused } from './paper_row.js';
import { whileOpen, withHours } from './paper_state.js';

// asking: what the server knows is on its way. none: a worker finds no hour that is open.
const fresh = (at) => ({
  screen: 'asking',
  openedAt: at,
  guard: freshGuard(at),
  // As the server told it last: the open hour and all before it.
  came: null,
  form: null,
  row: null,
  // What must be read before the next row, and the hour that was just finished.
  told: null,
  done: null,
  isWhole: false,
  problem: null,
});

const opened = (state, { at }) =>
  focusOn({ ...state, confirmation: null, notice: null, now: null, stations: null, lists: null, dayWork: null, dialog: null, paperHours: fresh(at) }, 'hours');

const BEFORE = new Set(['begin', 'none']);

/** Its first screen, once it is known whether an hour is open; later only its rows. */
function came(state, { answer, problem = null, at }) {
  if (problem) return withHours(state, { problem });
  const { screen } = state.paperHours;
  const next = withHours(state, { came: answer, problem: null });
  // Begun by somebody else meanwhile: it is caught up here, too.
  const isBegun = BEFORE.has(screen) && answer.open;
  if (screen === 'asking' || isBegun) return firstScreen(withHours(next, { form: null }));
  const isOver = screen === 'keying' && !answer.open;
  return isOver ? firstScreen(withHours(next, { row: null, form: null, told: null, guard: sheetChanged(next.paperHours.guard, at) })) : next;
}

function firstScreen(state) {
  if (state.paperHours.came.open) return rowBegun(state);
  if (!isLead(state)) return focusOn(withHours(state, { screen: 'none' }), 'hours');
  return formBegun(withHours(state, { screen: 'begin' }), 'begin');
}

const again = (state, { at }) => firstScreen(withHours(state, { guard: sheetChanged(state.paperHours.guard, at), done: null }));

/** What was odd about a row is read: the next one. */
function toldRead(state, { at }) {
  const { row, guard } = state.paperHours;
  const next = withHours(state, { told: null, guard: sheetChanged(guard, at) });
  return focusOn(next, row?.hasTimes ? 'hours-time' : 'keying-box');
}

function left(state, _, { layers }) {
  const next = { ...state, paperHours: null };
  return focusOn(next, placeBehind(next, layers));
}

/** One step back: from what is told, from a form, from a row; then the layer itself goes. */
function back(state, { at }, tables) {
  const { told, screen, row } = state.paperHours;
  if (told) return toldRead(state, { at });
  const within = formBack(state, at) ?? (screen === 'keying' && row ? rowBack(state, at) : null);
  return within ?? left(state, null, tables);
}

function refused(state, write, problem) {
  return write.what === 'paper-row' ? rowRefused(state, write, problem) : formRefused(state, write, problem);
}

/** As a layer over the box: see layers.js. */
export const paperHoursLayer = {
  place: ({ screen, row }) => (screen === 'keying' && row ? 'keying-box' : 'hours'),
  back: 'hours-back',
  isOf: (write, hours) => write.hoursOpenedAt === hours.openedAt,
  refused,
};

/** Whether an entry of the day log changes what stands on these screens. */
export const touchesHours = ({ paperHours, day }, { kind, station }) =>
  Boolean(paperHours) && kind.startsWith('paper.') && station !== day?.station;

export const paperHoursEvents = {
  'paper-hours-opened': opened,
  'hours-came': whileOpen(came),
  'hours-again': whileOpen(again),
  'hours-told-read': whileOpen(toldRead),
  'hours-back': whileOpen(back),
  'hours-left': whileOpen(left),
  'hours-all-wanted': whileOpen((state) => withHours(state, { isWhole: true })),
  'hours-print-missing': whileOpen((state) => withHours(state, { problem: { code: 'print-missing' } })),
};
