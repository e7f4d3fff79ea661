/**
 * The opening, the machines, the seals and the close: which of their screens is open, and one
 * step back from each. What happens on a screen stands in a module of its own (checks,
 * work_form, balance). Pure.
 */

import { focusOn } from './attention.js';
import { balanceBack, balanceCame } from './balance.js';
import { checksBack, checksCame, tickRefused, toFirstCheck } from './checks.js';
import { isLead, isStandby } from './day.js';
import { freshGuard, sheetChanged } from './enter_guard.js';
import { placeBehind } from './layers.js';
import { formBack, formRefused } from './work_form.js';
import { whileAtWork, withWork } from './work_state.js';

const LEAD_ROLES = new Set(['lead', 'registrar']);
const CHECKLISTS = new Set(['opening', 'closing']);

/** The screens that this worker may see, in the order of the day. */
export const workScreens = (state) =>
  ['opening', 'machines', 'seals', 'closing', 'balance', 'papers'].filter(
    (screen) =>
      (screen !== 'balance' || LEAD_ROLES.has(state.day?.worker?.role)) &&
      (screen !== 'papers' || isLead(state)) &&
      !(isStandby(state) && CHECKLISTS.has(screen)),
  );

const fresh = (at) => ({
  screen: 'opening',
  openedAt: at,
  guard: freshGuard(at),
  // Of the checklists: both by stage, the check that Tab reaches, one that is said to be wrong.
  checks: { opening: null, closing: null },
  row: null,
  failing: null,
  machines: null,
  seals: null,
  counts: null,
  form: null,
  balance: null,
  cause: null,
  // What is to be read before going on: whom to call, and what the lead should know.
  told: null,
  // What was made of the closed day for the registrar.
  handed: null,
  problem: null,
});

function went(state, { screen, at }) {
  const guard = sheetChanged(state.dayWork.guard, at);
  const begun = { screen, guard, row: null, failing: null, form: null, cause: null, told: null, problem: null };
  const next = withWork(state, begun);
  return CHECKLISTS.has(screen) ? toFirstCheck(next) : focusOn(next, 'work');
}

const opened = (state, { screen = 'opening', at }) =>
  went({ ...state, confirmation: null, notice: null, now: null, lists: null, dialog: null, paperHours: null, dayWork: fresh(at) }, { screen, at });

function left(state, _, { layers }) {
  const next = { ...state, dayWork: null };
  return focusOn(next, placeBehind(next, layers));
}

/** One step back: from what is told, from a form, from a cause; then the layer itself goes. */
function back(state, { at }, tables) {
  const within = checksBack(state, at) ?? formBack(state, at) ?? balanceBack(state, at);
  return within ?? left(state, null, tables);
}

const CAME = { opening: checksCame, closing: checksCame, balance: balanceCame };

/** What a screen shows, or the problem that kept it away; of another screen it is too late. */
function came(state, { screen, answer, problem = null }) {
  if (state.dayWork.screen !== screen) return state;
  if (problem) return withWork(state, { problem });
  const known = withWork(state, { problem: null });
  return CAME[screen] ? CAME[screen](known, answer) : withWork(known, answer);
}

const refused = (state, write, problem) =>
  write.what === 'tick' ? tickRefused(state, write, problem) : formRefused(state, write, problem);

/** As a layer over the box: see layers.js. */
export const workLayer = {
  place: () => 'work',
  back: 'work-back',
  isOf: (write, work) => write.workOpenedAt === work.openedAt,
  refused,
};

// What changes a checklist, a counter, a seal or the balance. Nearly everything changes the last.
const OF_WORK = /^(checklist|machine|seal|ballots|day|line|turn|signature|voter|provisional|late_list|mark)\./;

/** Whether an entry of the day log changes what stands on an open screen of these. */
export const touchesWork = (state, entry) => Boolean(state.dayWork) && OF_WORK.test(entry.kind);

const paperMissing = (state) => withWork(state, { problem: { code: 'paper-missing' } });

export const dayWorkEvents = {
  'work-opened': opened,
  'work-went': whileAtWork(went),
  'work-back': whileAtWork(back),
  'work-left': whileAtWork(left),
  'work-came': whileAtWork(came),
  'work-counts-came': whileAtWork((state, { counts }) => withWork(state, { counts })),
  'paper-missing': whileAtWork(paperMissing),
};
