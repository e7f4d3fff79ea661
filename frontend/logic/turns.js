/** The day's turns: which can be taken now, which taken back, and what is out of the ordinary. Pure. */

/** The turns that can be taken in each phase, in order. */
const TURNS = { not_open: ['open'], open: ['cut-off', 'close'], cut_off: ['close'], closed: [] };

export const turnsNow = (day) => TURNS[day.phase] ?? [];

/** Whether an order may extend the hours now. */
export const mayExtend = (day) => day.phase === 'open' || day.phase === 'cut_off';

/** The turns that were taken last and may be taken back, as kinds of the day log. */
export const turnsToTakeBack = (day) => day.may_withdraw ?? [];

const hourOf = (time) => time.slice(0, 5);

/**
 * What is out of the ordinary about taking `turn` now, as codes. The clock of the laptop may
 * be wrong, so these are told and forbid nothing.
 */
export function turnWarnings({ election, local_time: now, is_election_date: isToday }, turn) {
  const isBefore = (time) => now < hourOf(time);
  return [
    !isToday && 'other-day',
    turn === 'open' && isBefore(election.opens) && 'before-opens',
    turn !== 'open' && isBefore(election.closes) && 'before-closes',
  ].filter(Boolean);
}
