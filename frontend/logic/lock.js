/**
 * Whether a station that nobody touches covers its page, so that whoever walks by reads
 * nothing and signs nobody. Pure.
 *
 * `lock` is null, or `{ stage }`: `warned` half a minute before, `covered` from then on until
 * somebody types a PIN. Everything on the page is kept beneath. A key that ends the warning
 * ends only that: see `endsWarning`. What the cover asks is a part of the page: see cover.js.
 */

import { announce, unsaid } from './attention.js';

// WCAG 2.2.1 asks for 20 s at least; a worker may be looking at the voter.
export const WARNING_MS = 30_000;
const MINUTE_MS = 60_000;

export const freshCover = () => ({ stage: 'covered', isOther: false, isBusy: false, problem: null });

export const isWarned = ({ lock }) => lock?.stage === 'warned';
export const isCovered = ({ lock, view }) => view === 'table' && lock?.stage === 'covered';

// These press what has the focus or throw away what is open: not what "any key" was meant to do.
const PRESSES = new Set(['Enter', ' ', 'Escape']);
export const endsWarning = (state, key) => isWarned(state) && PRESSES.has(key);

/** How long nobody has touched the page, held against what this place allows. */
export function idled(state, { at }) {
  const limit = (state.day?.policy?.idle_lock_minutes ?? 0) * MINUTE_MS;
  if (!limit || state.view !== 'table' || isCovered(state)) return state;
  const idle = at - state.activeAt;
  if (idle >= limit) return covered(state);
  if (idle < limit - WARNING_MS || isWarned(state)) return state;
  return announce({ ...state, lock: { stage: 'warned' } }, 'lock.warning', {}, true);
}

/** A birth date that was shown is covered on the line, too. */
const covered = (state) =>
  unsaid({ ...state, lock: freshCover(), sheet: state.sheet && { ...state.sheet, isUncovered: false } });

/** A server that heard nothing of this page for so long answers nothing more: it was asleep. */
export const asServerCovers = (state) =>
  state.view === 'table' && state.day.is_covered && !isCovered(state) ? covered(state) : state;

const active = (state, { at }) => ({ ...state, activeAt: at, lock: isWarned(state) ? null : state.lock });

export const lockEvents = { 'worker-active': active };
