/**
 * Filling in a paper on the way: fields first, then what the rules still ask, then the
 * signature under one sentence that says what will be written down. Pure.
 *
 * What was typed is kept while the way is open, whichever ending is looked at meanwhile.
 */

import { announce, focusOn } from './attention.js';
import { authorisationChosen, chosenBeforehand } from './authorisations.js';
import { sheetChanged } from './enter_guard.js';
import { fieldsOf, firstValues, lacksOf } from './form_fields.js';
import { formKind, formNow, withWay } from './way_state.js';

export const freshForm = (kind, way) => ({
  kind,
  stage: 'fields',
  values: firstValues(kind, way),
  isTouched: false,
  problems: {},
  evidence: {},
  verdict: null,
  alreadyOn: null,
  strokes: [],
  // Whether the rules are to be asked about what is filled in: the controller does.
  isDue: false,
});

/** Whether something would be lost with this form. */
export const hasDraft = (form) => Boolean(form?.isTouched);

function withForm(state, changes) {
  const { way } = state;
  const kind = formKind(way);
  return withWay(state, { forms: { ...way.forms, [kind]: { ...formNow(way), ...changes } } });
}

const firstField = (state, problems = {}) => {
  const { way, day } = state;
  const form = formNow(way);
  const fields = fieldsOf(form.kind, form.values, day, way);
  const wrong = fields.find((each) => problems[each.name]);
  return `form-${(wrong ?? fields[0]).name}`;
};

/** The form of the chosen ending is laid out, or the one begun before comes back. */
export function formOpened(state) {
  const kind = formKind(state.way);
  if (!kind) return state;
  const form = formNow(state.way) ?? freshForm(kind, state.way);
  const laid = withWay(state, { forms: { ...state.way.forms, [kind]: { ...form, stage: 'fields' } } });
  const next = kind === 'affidavit' ? chosenBeforehand(laid) : laid;
  return focusOn(next, firstField(next));
}

const typed = (state, { field, value }) => {
  if (field === 'authorisation_seq') return authorisationChosen(state, value);
  const form = formNow(state.way);
  return withForm(state, {
    values: { ...form.values, [field]: value },
    isTouched: true,
    problems: { ...form.problems, [field]: undefined },
    alreadyOn: null,
  });
};

/** Everything that is missing is told at once; the first such field gets the focus. */
function submitted(state, { at }) {
  const { way, day } = state;
  const form = formNow(way);
  const problems = lacksOf(fieldsOf(form.kind, form.values, day, way), form.values);
  if (Object.keys(problems).length) return lacking(state, problems);
  if (form.kind === 'affidavit') return dueAgain(withForm(state, { problems: {} }));
  return toSign(withForm(state, { problems: {} }), at);
}

function lacking(state, problems) {
  const told = withForm(withWay(state, { isBusy: false }), { problems, stage: 'fields', isDue: false });
  return focusOn(announce(told, 'form.lacking', {}, true), firstField(told, problems));
}

const dueAgain = (state) => withForm(withWay(state, { isBusy: true, problem: null }), { isDue: true });

const toSign = (state, at) => {
  const next = withForm(
    withWay(state, { isBusy: false, problem: null, guard: sheetChanged(state.way.guard, at) }),
    { stage: 'sign' },
  );
  return focusOn(announce(next, 'form.said-sign'), 'way');
};

const beingAsked = (state) => withForm(state, { isDue: false });

/** What the rules say of the new line: another question, the signature, or a refusal. */
function checked(state, { answer, at }) {
  if (formKind(state.way) !== 'affidavit') return state;
  const { verdict, already_on: alreadyOn } = answer;
  const isHeld = alreadyOn && !formNow(state.way).values.somebody_else;
  const next = withForm(withWay(state, { isBusy: false, problem: null }), {
    verdict,
    alreadyOn: isHeld ? alreadyOn : null,
  });
  if (isHeld) return focusOn(withForm(next, { stage: 'fields' }), 'already-on');
  if (verdict.outcome === 'sign') return toSign(next, at);
  const stage = verdict.outcome === 'first' ? 'step' : 'refused';
  const turned = withWay(withForm(next, { stage }), { guard: sheetChanged(next.way.guard, at) });
  return focusOn(turned, 'way');
}

/** A refusal names fields, or is told above them. Nothing typed is lost. */
export function formRefused(state, problem) {
  const form = formNow(state.way);
  if (!form) return focusOn(withWay(state, { isBusy: false, problem }), 'problem');
  const problems = problemsByField(problem, fieldsOf(form.kind, form.values, state.day, state.way));
  if (Object.keys(problems).length) return lacking(withWay(state, { problem: null }), problems);
  const alreadyOn = problem.code === 'already-on-a-line' ? problem : null;
  const next = withForm(withWay(state, { isBusy: false, problem: alreadyOn ? null : problem }), {
    isDue: false,
    alreadyOn,
    ...(alreadyOn && { stage: 'fields' }),
  });
  return focusOn(next, alreadyOn ? 'already-on' : 'problem');
}

const FIELD_OF_PROBLEM = {
  'birth-date-unreadable': 'birth_date',
  'envelope-used': 'envelope',
  'ballot-unknown': 'ballot_button',
};

function problemsByField(problem, fields) {
  if (problem.field === 'authorisation_seq') return { authorised_by: 'authorisation-used' };
  const names = new Set(fields.map((each) => each.name));
  const own = FIELD_OF_PROBLEM[problem.code];
  if (own && names.has(own)) return { [own]: problem.code };
  const missing = (problem.missing ?? []).filter((name) => names.has(name));
  return Object.fromEntries(missing.map((name) => [name, name]));
}

const answered = (state, { said, value }) =>
  dueAgain(withForm(state, { evidence: { ...formNow(state.way).evidence, [said]: value } }));

/** The lead says that this is somebody else than the person on that line. */
const somebodyElse = (state) =>
  dueAgain(
    withForm(state, {
      values: { ...formNow(state.way).values, somebody_else: true },
      alreadyOn: null,
    }),
  );

export const toFields = (state, { at }) => {
  const next = withForm(
    withWay(state, { problem: null, guard: sheetChanged(state.way.guard, at) }),
    { stage: 'fields' },
  );
  return focusOn(next, firstField(next));
};

const onForm = (change) => (state, event) => (formNow(state.way) ? change(state, event) : state);

export const formEvents = {
  'form-typed': onForm(typed),
  'form-submitted': onForm(submitted),
  'form-asked': onForm(beingAsked),
  'form-checked': onForm(checked),
  'form-check-refused': onForm((state, { problem }) => formRefused(state, problem)),
  'form-answered': onForm(answered),
  'form-somebody-else': onForm(somebodyElse),
  'form-fields-wanted': onForm(toFields),
  'form-drawn': onForm((state, { strokes }) => withForm(state, { strokes, isTouched: true })),
};
