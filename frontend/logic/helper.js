/**
 * Who helps the voter in the booth: what must be said of the helper, and what is sent. Pure.
 *
 * Where no Y is printed on the line the reason is asked as well, and whether the statement
 * of support was signed. An employer or union agent of the voter may not help anybody.
 */

import { focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';

const freshHelper = (isPrinted) => ({
  isPrinted,
  name: '',
  is: null,
  reason: '',
  hasStatement: false,
  strokes: [],
  problems: {},
});

const withHelper = (state, changes) => ({
  ...state,
  sheet: { ...state.sheet, helper: { ...state.sheet.helper, ...changes } },
});

function wanted(state, { at }) {
  const { sheet } = state;
  if (!sheet) return state;
  const helper = freshHelper(Boolean(sheet.line?.assistance));
  const asked = { ...sheet, helper, guard: sheetChanged(sheet.guard, at) };
  return focusOn({ ...state, sheet: asked }, 'helper-name');
}

/** Back to the question; on a line without a Y back to the verdict. */
function dropped(state, { at }) {
  const { sheet } = state;
  const place = sheet.helper.isPrinted ? 'question' : 'verdict';
  return focusOn({ ...state, sheet: { ...sheet, helper: null, guard: sheetChanged(sheet.guard, at) } }, place);
}

const noted = (state, { field, value }) =>
  withHelper(state, {
    [field]: value,
    problems: { ...state.sheet.helper.problems, [field]: undefined },
  });

/** `{ field: code }` of what is missing or cannot be, in the order of the fields. */
export function helperLacks({ name, is, reason, isPrinted }) {
  const lacks = {};
  if (!name.trim()) lacks.name = 'helper_name';
  if (is === null) lacks.is = 'helper_is';
  else if (is === 'employer_or_union') lacks.is = 'helper-not-allowed';
  if (!isPrinted && !reason.trim()) lacks.reason = 'helper_reason';
  return lacks;
}

const lacking = (state, { problems }) =>
  focusOn(withHelper(state, { problems }), `helper-${Object.keys(problems)[0]}`);

/** All is said of the helper: on to the signature and the button that records it. */
const read = (state) => focusOn(state, 'helper-primary');

export const helperBody = (helper) => ({
  wanted: true,
  helper_name: helper.name.trim(),
  helper_is: helper.is,
  reason: helper.reason.trim(),
  statement_of_support: helper.hasStatement,
});

const onHelper = (change) => (state, event) => (state.sheet?.helper ? change(state, event) : state);

export const helperEvents = {
  'helper-wanted': wanted,
  'helper-dropped': onHelper(dropped),
  'helper-noted': onHelper(noted),
  'helper-lacking': onHelper(lacking),
  'helper-read': onHelper(read),
  'helper-drawn': onHelper((state, { strokes }) => withHelper(state, { strokes })),
};
