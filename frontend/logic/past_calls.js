/** The calls of today as they are read later: newest first, and what each one changed. Pure. */

import { withLate } from './late_state.js';

const came = (state, { calls, problem = null }) => {
  if (!state.late) return state;
  return withLate(state, problem ? { problem } : { calls: [...calls].reverse(), problem: null });
};

/** `last_name=O'Malley` as the detail and what it became; any other argument stands alone. */
export function argumentOf({ what, argument }) {
  if (what !== 'correct_detail') return { detail: null, value: argument };
  const [detail, ...rest] = argument.split('=');
  return { detail: detail.trim(), value: rest.join('=').trim() };
}

export const pastCallEvents = { 'calls-came': came };
