/**
 * What is asked in a dialog: the day's turns, and the lead's corrections, each with what
 * stands before and after it. Pure. Nothing is recorded before its one confirmation.
 */

import { focusOn } from './attention.js';

const freshDialog = {
  turn: null,
  text: '',
  why: null,
  reference: '',
  until: '',
  // Of an irregularity, and of unlocking the spoken codes.
  machine: '',
  told: '',
  done: '',
  number: '',
  problem: null,
  // Of a signature that is moved: the search for the right line, and the line chosen.
  search: { text: '', asked: 0, answered: 0, matches: [], fits: 0, problem: null },
  chosen: null,
  birthDate: '',
};

// Where typing begins; any other dialog is read first.
const FIRST_PLACE = {
  move: 'dialog-search',
  extend: 'dialog-reference',
  left: 'dialog-text',
  returned: 'dialog-text',
  'withdraw-provisional': 'dialog-text',
  irregularity: 'dialog-why',
  'settle-irregularity': 'dialog-text',
  'undo-row': 'dialog-text',
  'finish-list': 'dialog-text',
  'drop-list': 'dialog-text',
  'unlock-codes': 'dialog-number',
};

const opened = (state, { type, kind, ...given }) =>
  focusOn({ ...state, dialog: { ...freshDialog, kind, ...given } }, placeOf({ kind, ...given }));

const placeOf = ({ kind, turn }) =>
  kind === 'take-back' && turn ? 'dialog-text' : (FIRST_PLACE[kind] ?? 'dialog');

const withDialog = (state, changes) => ({ ...state, dialog: { ...state.dialog, ...changes } });

const TO_DAY = { dialog: { ...freshDialog, kind: 'day' }, place: 'dialog' };

/** What a dialog goes back to, by its kind; any other one just goes. */
export const dialogsBehind = {
  // Opened from the screen of the opening or the balance, it goes back there.
  day: ({ turn, isOverWork }) => (turn && !isOverWork ? TO_DAY : null),
  extend: () => TO_DAY,
  'take-back': () => TO_DAY,
  move: (dialog) =>
    dialog.chosen && { dialog: { ...dialog, chosen: null, problem: null }, place: 'dialog-search' },
};

const typed = (state, { field = 'text', text }) =>
  state.dialog ? withDialog(state, { [field]: text, problem: null }) : state;

const lacking = (state, { code, field }) =>
  focusOn(withDialog(state, { problem: { code } }), `dialog-${field}`);

// As the dialog of the hours takes it: two digits, colon, two digits.
const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;

/** `9:30` and `0930` are meant as `09:30`; anything else stays as it was typed. */
export function asTime(text) {
  const [, hours, minutes] = /^(\d{1,2})[:. ]?(\d{2})$/.exec(text.trim()) ?? [];
  return hours ? `${hours.padStart(2, '0')}:${minutes}` : text.trim();
}

// These need no reason, or have a usual one.
const OPTIONAL = new Set(['left', 'form-given', 'undo-row', 'drop-list']);
const LACK_OF = { irregularity: 'what-missing', 'settle-irregularity': 'how-missing' };

/** What is missing before the dialog's one confirmation: `{ code, field }`, or null. */
export function dialogLack(dialog) {
  const { kind, why, text, reference, until, chosen, birthDate } = dialog;
  if (kind === 'extend') {
    if (!reference.trim()) return { code: 'reference-missing', field: 'reference' };
    return TIME.test(asTime(until)) ? null : { code: 'until-missing', field: 'until' };
  }
  if (kind === 'withdraw' && !why) return { code: 'why-missing', field: 'why' };
  if (kind === 'withdraw' && why !== 'other') return null;
  if (kind === 'move' && chosen?.look_alikes > 0 && !birthDate.trim()) {
    return { code: 'birth-date-missing', field: 'birthDate' };
  }
  if (kind === 'irregularity' && !why) return { code: 'kind-missing', field: 'why' };
  if (kind === 'unlock-codes' && !dialog.number.trim()) {
    return { code: 'number-missing', field: 'number' };
  }
  // Who takes over says who they are once more.
  if (kind === 'take-over' && text.trim()) {
    return dialog.pin.trim() ? null : { code: 'pin-missing', field: 'pin' };
  }
  const isOptional = OPTIONAL.has(kind) || (kind === 'finish-list' && !dialog.missing);
  return isOptional || text.trim() ? null : { code: LACK_OF[kind] ?? 'reason-missing', field: 'text' };
}

/* Finding the right line */

const withSearch = (state, changes) =>
  withDialog(state, { search: { ...state.dialog.search, ...changes } });

function lineTyped(state, { text }) {
  const { search } = state.dialog;
  const asked = search.asked + 1;
  const isBlank = text.trim() === '';
  return withSearch(state, { text, asked, ...(isBlank && { answered: asked, matches: [], fits: 0 }) });
}

/** `answer` is of the question number `asked`; the wrong line itself is no right line. */
function linesFound(state, { asked, answer, problem }) {
  if (!state.dialog || asked !== state.dialog.search.asked) return state;
  if (!answer) return withSearch(state, { problem });
  const matches = answer.matches.filter((each) => each.line_id !== state.sheet?.lineId);
  return withSearch(state, { answered: asked, matches, fits: answer.fits, problem: null });
}

function rightLineChosen(state, { lineId }) {
  const chosen = state.dialog.search.matches.find((each) => each.line_id === lineId);
  if (!chosen) return state;
  const place = chosen.look_alikes > 0 ? 'dialog-birthDate' : 'dialog-text';
  return focusOn(withDialog(state, { chosen, problem: null, birthDate: '' }), place);
}

const onDialog = (change) => (state, event) => (state.dialog ? change(state, event) : state);

export const dialogEvents = {
  'dialog-opened': opened,
  'dialog-typed': typed,
  'dialog-lacking': onDialog(lacking),
  'right-line-typed': onDialog(lineTyped),
  'right-lines-found': linesFound,
  'right-line-chosen': onDialog(rightLineChosen),
};
