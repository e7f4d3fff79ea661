/** Small readings and changes of the late part of the page, shared by its modules. Pure. */

import { isStandby, leadsHere } from './day.js';

export const withLate = (state, changes) => ({ ...state, late: { ...state.late, ...changes } });

const LIST_ROLES = new Set(['lead', 'registrar']);
const TABLE_ROLES = new Set(['worker', 'lead']);
const roleOf = (state) => state.day?.worker?.role;

/** Who sees the lists and calls; what follows here nobody does at a laptop that only follows. */
export const mayLook = (state) => LIST_ROLES.has(roleOf(state));
/** Who may bring, settle and apply lists. */
export const mayBring = (state) => mayLook(state) && !isStandby(state);
/** Who may key in a list on paper and write up an irregularity. */
export const mayKey = (state) => TABLE_ROLES.has(roleOf(state)) && !isStandby(state);
export const mayTakeCalls = leadsHere;

/**
 * What waits for the lead, as `[key of words, n]` each: nothing of it may be forgotten, so
 * it stands in the head of the page whatever is open.
 */
export function waiting(state) {
  const { counts, phone_code: code } = state.day ?? {};
  if (!mayLook(state) || !counts) return [];
  return [
    ['waits.rows', counts.late_rows_open ?? 0],
    ['waits.drafts', counts.late_lists_draft ?? 0],
    ['waits.irregular', counts.irregularities_open ?? 0],
    ['waits.codes-locked', code?.locked ? 1 : 0],
  ].filter(([, n]) => n > 0);
}

const OF_LATE = /^(late_list\.|irregularity\.|phone_|mark\.|line\.)/;

/** Whether an entry of the day log changes what stands on an open screen of these. */
export const touchesLate = (state, entry) =>
  Boolean(state.late) && OF_LATE.test(entry.kind) && !isOwnKeying(state, entry);

// Each answer brings the own rows: loading them again would double the work of every key.
const isOwnKeying = ({ late, day }, { station }) =>
  late.screen === 'keying' && station === day?.station;
