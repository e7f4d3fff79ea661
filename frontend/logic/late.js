/**
 * Late lists, calls of the registrar's office and irregularities: which of their screens is
 * open, and one step back from each. What happens on a screen stands in a module of its own
 * (late_list, bring, keying, call). Pure.
 */

import { focusOn } from './attention.js';
import { freshBring } from './bring.js';
import { callBack, callRefused, freshCall, hasCallDraft } from './call.js';
import { freshGuard, sheetChanged } from './enter_guard.js';
import { freshStart, keyingBack, keyRefused } from './keying.js';
import { placeBehind } from './layers.js';
import { hasPersonDraft } from './page_person.js';
import { personRefused } from './page_rows.js';
import { withLate } from './late_state.js';
import { listBack } from './late_list.js';
import { emptySeek, soughtCame, soughtText } from './seeking.js';

const fresh = (at) => ({
  screen: 'overview',
  openedAt: at,
  guard: freshGuard(at),
  lists: null,
  bring: null,
  list: null,
  start: null,
  keying: null,
  call: null,
  calls: null,
  irregularities: null,
  seek: emptySeek(),
  problem: null,
  isLeaving: false,
  // The lead's view that this was opened from, and what it was opened for.
  over: null,
  seq: null,
});

/** What is half written stays until its worker says that it may go. */
function opened(state, { at, screen = 'overview', seq = null }) {
  const { now, late } = state;
  if (late && hasDraft(late)) return askedLeaving({ ...state, now: null, lists: null, dayWork: null, paperHours: null }, at);
  const begun = { ...fresh(at), over: now, seq };
  const cleared = { ...state, confirmation: null, notice: null, lists: null, now: null, dayWork: null, paperHours: null, late: begun };
  return went(cleared, { screen, at });
}

function askedLeaving(state, at) {
  const guard = sheetChanged(state.late.guard, at);
  return focusOn(withLate(state, { isLeaving: true, guard }), 'late');
}

// What a screen begins with, and where its first focus is.
const FIRST = {
  overview: () => [{ list: null, keying: null }, 'late'],
  bring: () => [{ bring: freshBring(), list: null }, 'bring-kind'],
  start: () => [{ start: freshStart() }, 'start-kind'],
  call: () => [{ call: freshCall() }, 'call-caller'],
  calls: () => [{ calls: null }, 'late'],
  irregularities: () => [{}, 'late'],
};

function went(state, { screen, at }) {
  const [begun, place] = FIRST[screen]();
  const guard = sheetChanged(state.late.guard, at);
  const late = { ...state.late, ...begun, screen, guard, seek: emptySeek(), problem: null, isLeaving: false };
  return focusOn({ ...state, notice: null, late }, place);
}

function lateLeft(state, _, { layers }) {
  const left = { ...state, late: null, now: state.late.over };
  return focusOn(left, placeBehind(left, layers));
}

const BACK = { list: listBack, keying: keyingBack, call: callBack };

const hasDraft = ({ screen, call, keying }) =>
  (screen === 'call' && hasCallDraft(call)) || (screen === 'keying' && hasPersonDraft(keying));

/** One step back. What would be lost by it is asked about first. */
function back(state, { at }, tables) {
  const { late } = state;
  if (late.isLeaving) return focusOn(withLate(state, { isLeaving: false }), late.screen === 'keying' ? 'keying-box' : 'late');
  const within = BACK[late.screen]?.(state, at);
  if (within) return within;
  if (late.screen === 'overview') return lateLeft(state, null, tables);
  if (hasDraft(late)) return askedLeaving(state, at);
  if (late.over) return lateLeft(state, null, tables);
  return went(state, { screen: 'overview', at });
}

const soughtFor = (state, { text }) => withLate(state, { seek: soughtText(state.late.seek, text) });
const cameForSeek = (state, event) => withLate(state, { seek: soughtCame(state.late.seek, event) });

/** Everything that the overview shows, or the problem that kept it away. */
const listsCame = (state, { lists, problem = null }) =>
  withLate(state, problem ? { problem } : { lists, problem: null });

/** The one that the lead came for has the focus when they are first here. */
function irregularitiesCame(state, { irregularities, problem = null }) {
  if (problem) return withLate(state, { problem });
  const { seq } = state.late;
  const next = withLate(state, { irregularities, problem: null, seq: null });
  const isThere = irregularities.irregularities.some((each) => each.seq === seq);
  return seq !== null && isThere ? focusOn(next, `irregularity-${seq}`) : next;
}

/** A plain no to something written here. */
function lateRefused(state, write, problem) {
  if (write.what === 'call') return callRefused(state, problem);
  if (write.what === 'person-keyed') return personRefused(state, write, problem);
  if (write.what === 'row-keyed') return keyRefused(state, write, problem);
  return focusOn(withLate(state, { problem }), 'problem');
}

/** As a layer over the box: see layers.js. */
export const lateLayer = {
  place: ({ screen }) => (screen === 'keying' ? 'keying-box' : 'late'),
  back: 'late-back',
  isOf: (write, late) => write.lateOpenedAt === late.openedAt,
  refused: lateRefused,
};

const whileOpen = (change) => (state, event, tables) => (state.late ? change(state, event, tables) : state);

export const lateEvents = {
  'late-opened': opened,
  'late-went': whileOpen(went),
  'late-back': whileOpen(back),
  'late-left': whileOpen(lateLeft),
  'late-lists-came': whileOpen(listsCame),
  'irregularities-came': whileOpen(irregularitiesCame),
  'sought-typed': whileOpen(soughtFor),
  'sought-came': whileOpen(cameForSeek),
};
