/**
 * Which presses on the line's sheet are meant.
 *
 * A scanner is a keyboard that types a burst and ends it with Enter, a held key
 * repeats, and the Enter that opened the sheet may bounce. None of these may
 * record a signature. Times are milliseconds of one clock that the caller reads. Pure.
 */

// A person needs longer than this to read a verdict; a scanner types a whole
// number in it, and two touches of a bouncing key lie closer together.
export const QUIET_MS = 300;

export const freshGuard = (at) => ({ openedAt: at, lastKeyAt: -Infinity, isRefused: false });

/** What is on the sheet has changed: a press meant for what stood there before must not land. */
export const sheetChanged = (guard, at) => ({ ...guard, openedAt: at });

const isMeant = (guard, { at, repeat }) =>
  !repeat && at - guard.openedAt >= QUIET_MS && at - guard.lastKeyAt >= QUIET_MS;

/** Notes a key. `isRefused` says whether this key, if it is one that presses a button, counts. */
export const keyPressed = (guard, key) => ({
  ...guard,
  lastKeyAt: key.at,
  isRefused: !isMeant(guard, key),
});

/** A press by mouse, finger or key that would act on the sheet. */
export const comesTooSoon = (guard, at) => at - guard.openedAt < QUIET_MS;
