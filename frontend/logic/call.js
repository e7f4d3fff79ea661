/**
 * A call of the registrar's office: who calls, which voter, what changes, read back aloud,
 * and only then written down. Pure.
 *
 * Anybody can claim to be the office: the lead hangs up and calls the number that they have
 * themselves, reads number, name and birth year back, and confirms each of the three.
 */

import { announce, focusOn } from './attention.js';
import { buttonsOf } from './form_fields.js';
import { sheetChanged } from './enter_guard.js';
import { withLate } from './late_state.js';
import { emptySeek } from './seeking.js';
import { codeFault } from './spoken_code.js';

export const STAGES = ['caller', 'voter', 'change', 'read', 'record'];
export const CALLER_FIELDS = ['caller', 'office', 'number_called_back', 'asked'];
export const READ_BACK = ['voter_number', 'name', 'birth_year'];
export const DETAILS = [
  'last_name', 'first_name', 'middle_name', 'suffix', 'birth_date', 'mothers_maiden_name',
  'street_address', 'city', 'postal_code', 'party', 'assistance',
];

export const freshCall = () => ({
  stage: 'caller',
  values: { caller: '', office: '', number_called_back: '', asked: '' },
  lineId: null,
  answer: null,
  what: null,
  detail: null,
  argument: '',
  read: [],
  code: '',
  problems: {},
  problem: null,
  done: null,
});

const withCall = (state, changes) => withLate(state, { call: { ...state.late.call, ...changes } });
const changed = (state, at) => withLate(state, { guard: sheetChanged(state.late.guard, at) });

export const hasCallDraft = (call) =>
  !call.done && (call.lineId !== null || Object.values(call.values).some((value) => value.trim()));

const PLACE = { caller: 'call-caller', voter: 'sought', change: 'late', read: 'late', record: 'late' };

const atStage = (state, stage, at, changes = {}) =>
  focusOn(withCall(changed(state, at), { stage, problems: {}, problem: null, ...changes }), PLACE[stage]);

const typed = (state, { field, value }) =>
  withCall(state, { values: { ...state.late.call.values, [field]: value }, problems: {} });

/** Everything that is missing of who calls is told at once. */
function callerSubmitted(state, { at }) {
  const { values, lineId, what } = state.late.call;
  const lacks = CALLER_FIELDS.filter((name) => !values[name].trim());
  if (lacks.length) {
    const problems = Object.fromEntries(lacks.map((name) => [name, `call-${name}`]));
    return focusOn(withCall(state, { problems }), `call-${lacks[0]}`);
  }
  return atStage(state, lineId || what ? 'change' : 'voter', at);
}

function voterChosen(state, { lineId, at }) {
  const next = withLate(state, { seek: emptySeek() });
  return atStage(next, 'change', at, { lineId, answer: null, what: null, detail: null, argument: '', read: [] });
}

/** The person is on no line: the office authorises an affidavit. */
const noLine = (state, { at }) => {
  const next = withLate(state, { seek: emptySeek() });
  const person = { lineId: null, answer: null, read: [], what: 'authorise_affidavit', argument: '' };
  return focusOn(atStage(next, 'change', at, person), 'call-argument');
};

function lineCame(state, { lineId, answer, problem }) {
  const { call } = state.late;
  if (call.lineId !== lineId) return state;
  if (problem) return focusOn(withCall(state, { problem }), 'problem');
  // The place that had the focus while it was awaited is gone.
  return focusOn(withCall(state, { answer }), 'late');
}

const kindsOn = (answer) => [...new Set(answer.state.marks.map((mark) => mark.kind))];

/** What can be changed on this line as it stands, each `{ what, argument }`. */
export function changesFor({ answer }, day) {
  if (!answer) return [];
  const kinds = kindsOn(answer);
  return [
    !kinds.includes('voted_by_mail') && { what: 'mark_by_mail', argument: '' },
    !kinds.includes('voted_early') && { what: 'mark_early', argument: '' },
    ...kinds.map((kind) => ({ what: 'withdraw_mark', argument: kind })),
    { what: answer.state.removed ? 'restore' : 'remove', argument: '' },
    { what: 'correct_detail', argument: '' },
    buttonsOf(day).length > 0 && { what: 'set_button', argument: '' },
  ].filter(Boolean);
}

// What must be said further before it can be read back.
const FURTHER = { correct_detail: 'late', set_button: 'late', authorise_affidavit: 'call-argument' };

function changeChosen(state, { what, argument, at }) {
  if (!FURTHER[what]) return atStage(state, 'read', at, { what, argument, detail: null });
  return focusOn(withCall(changed(state, at), { what, argument: '', detail: null, problems: {} }), FURTHER[what]);
}

const detailChosen = (state, { detail, at }) =>
  focusOn(withCall(changed(state, at), { detail, argument: '' }), 'call-argument');

const buttonChosen = (state, { button, at }) => atStage(state, 'read', at, { argument: String(button) });

const argumentTyped = (state, { text }) => withCall(state, { argument: text, problems: {} });

/** A detail may become blank; the person of an affidavit needs name and year of birth. */
export const isArgumentWhole = ({ what, argument }) =>
  what !== 'authorise_affidavit' || /\p{L}.*\b(18|19|20)\d\d\b/u.test(argument);

function argumentSubmitted(state, { at }) {
  if (!isArgumentWhole(state.late.call)) {
    return focusOn(withCall(state, { problems: { argument: 'call-person' } }), 'call-argument');
  }
  return state.late.call.lineId ? atStage(state, 'read', at) : toRecord(state, at);
}

/** One of the three was confirmed by the office; after the third it can be written down. */
function readBack(state, { part, at }) {
  const { call } = state.late;
  const read = READ_BACK.filter((each) => each === part || call.read.includes(each));
  if (read.length < READ_BACK.length) return focusOn(withCall(state, { read }), `read-${nextPart(read)}`);
  return toRecord(withCall(state, { read }), at);
}

export const nextPart = (read) => READ_BACK.find((part) => !read.includes(part));

const toRecord = (state, at) => {
  const next = atStage(state, 'record', at);
  const { asked = 'off', locked: isLocked } = state.day.phone_code ?? {};
  return focusOn(next, asked === 'off' || isLocked ? 'call-press' : 'call-code');
};

const isAnotherVoter = (state, { at }) =>
  atStage(state, 'voter', at, { lineId: null, answer: null, what: null, argument: '', detail: null, read: [] });

const codeTyped = (state, { text }) => withCall(state, { code: text, problems: {}, problem: null });

/** `{ code }` of what keeps the call from being written down, or null. */
export function recordLack({ code }, { phone_code: rule = {} }) {
  const asked = rule.asked ?? 'off';
  if (asked === 'off') return null;
  if (!code.trim()) return asked === 'required' ? 'code-missing' : null;
  return codeFault(code);
}

/** A misheard code never leaves this page: the office is asked to say it again. */
function recordLacking(state) {
  const code = recordLack(state.late.call, state.day);
  return code ? focusOn(withCall(state, { problem: { code } }), 'call-code') : state;
}

export function callBody({ values, lineId, answer, what, detail, argument, code }, { phone_code: rule }) {
  const line = answer?.line;
  const typedValues = Object.fromEntries(CALLER_FIELDS.map((name) => [name, values[name].trim()]));
  const text = detail ? `${detail}=${argument.trim()}` : argument.trim();
  return {
    ...typedValues,
    line_id: lineId,
    change: { what, argument: text },
    read_back: line && {
      voter_number: line.voter_number,
      name: line.name,
      birth_year: Number(line.birth_date.slice(0, 4)),
    },
    confirmed: true,
    code: (rule?.asked ?? 'off') !== 'off' && code.trim() ? code.trim() : null,
  };
}

export function callRecorded(state, write, answer) {
  if (!state.late?.call) return state;
  return focusOn(announce(withCall(state, { done: answer, problem: null }), 'call.said-done'), 'late');
}

export function callRefused(state, problem) {
  const isOfCode = problem.code.startsWith('code-') && problem.code !== 'code-locked';
  const next = withCall(state, { problem });
  if (problem.code === 'read-back-differs') {
    return focusOn(withCall(next, { stage: 'read', read: [] }), 'problem');
  }
  return focusOn(next, isOfCode ? 'call-code' : 'problem');
}

/** One stage back, keeping what was typed; off the first stage it is null. */
export function callBack(state, at) {
  const { call } = state.late;
  if (call.done || call.stage === 'caller') return null;
  if (call.stage === 'change' && call.detail) {
    return focusOn(withCall(changed(state, at), { detail: null, argument: '' }), 'late');
  }
  if (call.stage === 'change' && call.what && call.lineId) {
    return focusOn(withCall(changed(state, at), { what: null, argument: '' }), 'late');
  }
  if (call.stage === 'record' && !call.lineId) return atStage(state, 'change', at);
  return atStage(state, STAGES[STAGES.indexOf(call.stage) - 1], at, BACK_OF[call.stage]);
}

const BACK_OF = {
  change: { lineId: null, answer: null, what: null, argument: '', detail: null },
  read: { what: null, argument: '', detail: null, read: [] },
  record: { read: [] },
};

const onCall = (change) => (state, event) => (state.late?.call ? change(state, event) : state);

export const callEvents = {
  'call-typed': onCall(typed),
  'caller-submitted': onCall(callerSubmitted),
  'call-voter-chosen': onCall(voterChosen),
  'call-no-line': onCall(noLine),
  'call-line-came': onCall(lineCame),
  'call-change-chosen': onCall(changeChosen),
  'call-detail-chosen': onCall(detailChosen),
  'call-button-chosen': onCall(buttonChosen),
  'call-argument-typed': onCall(argumentTyped),
  'call-argument-submitted': onCall(argumentSubmitted),
  'call-read': onCall(readBack),
  'call-another-voter': onCall(isAnotherVoter),
  'call-code-typed': onCall(codeTyped),
  'call-record-lacking': onCall(recordLacking),
};
