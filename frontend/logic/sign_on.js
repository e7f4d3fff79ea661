/** Signing on: what is missing in the form, and the view while the server is asked. Pure. */

import { focusOn } from './attention.js';

export const NOBODY = { isBusy: false, problem: null };

// As long as a PIN may be. A station is written beside every signature: a PIN typed in its
// field by mistake would stand there for everybody to read.
const LIKE_A_PIN = /^\d{6,}$/;

/** The first thing that is missing or wrong: its `code` and the `field` that it is in; or null. */
export function signOnLack({ initials, pin, station }) {
  if (!initials.trim()) return { code: 'initials-missing', field: 'initials' };
  if (!pin.trim()) return { code: 'pin-missing', field: 'pin' };
  if (!station.trim()) return { code: 'station-missing', field: 'station' };
  const isLikePin = LIKE_A_PIN.test(station.trim());
  return isLikePin ? { code: 'station-like-pin', field: 'station' } : null;
}

// The field that a problem is about; any other problem is about initials and PIN together.
const FIELD_OF = {
  'initials-missing': ['initials'],
  'pin-missing': ['pin'],
  'station-missing': ['station'],
  'station-like-pin': ['station'],
  'already-there': ['station'],
  'wrong-pin': ['initials', 'pin'],
  'pin-locked': ['initials', 'pin'],
};

export const isWrongField = (problem, field) => Boolean(FIELD_OF[problem?.code]?.includes(field));

export const signOnEvents = {
  'sign-on-asked': (state, { station }) => ({
    ...state,
    station,
    signOn: { isBusy: true, problem: null },
  }),
  'sign-on-lacking': (state, { lack }) =>
    focusOn({ ...state, signOn: { isBusy: false, problem: { code: lack.code } } }, lack.field),
  'sign-on-refused': (state, { problem }) =>
    focusOn({ ...state, signOn: { isBusy: false, problem } }, 'pin'),
  'signed-on': (state) => ({ ...state, signOn: NOBODY, lock: null }),
};
