/**
 * What is said of an hour on paper as a whole: that it begins, a row taken back, the count of
 * its signatures. Pure.
 */

import { announce, focusOn } from './attention.js';
import { isLead } from './day.js';
import { asTime } from './dialog.js';
import { sheetChanged } from './enter_guard.js';
import { rowCame, rowsOf, whileOpen, withHours } from './paper_state.js';

const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;
const COUNT = /^\d{1,5}$/;

// `told`: what the stages newer and differs are about.
const FRESH = { stage: 'form', values: {}, problems: {}, problem: null, told: null, subject: null };
const FIRST = { begin: 'reason', undo: 'reason', finish: 'counted' };

export const formPlace = (field) => `hours-${field}`;

/** `kind` begin, undo (`subject`: the row) or finish. */
export function formBegun(state, kind, subject = null) {
  return focusOn(withHours(state, { form: { ...FRESH, kind, subject }, told: null }), formPlace(FIRST[kind]));
}

const withForm = (state, changes) => withHours(state, { form: { ...state.paperHours.form, ...changes } });
const changed = (state, at) => withHours(state, { guard: sheetChanged(state.paperHours.guard, at) });

export const valueOf = ({ values }, field) => values[field] ?? '';

function lacksOf({ kind, stage, values }) {
  const said = (field) => (values[field] ?? '').trim();
  const isTime = (field) => !said(field) || TIME.test(asTime(said(field)));
  if (kind === 'begin') {
    return {
      ...(!said('reason') && { reason: 'reason' }),
      ...(!isTime('from') && { from: 'as-time' }),
      ...(!isTime('until') && { until: 'as-time' }),
      ...(said('head') && !/^[1-9]\d{0,8}$/.test(said('head')) && { head: 'as-number' }),
    };
  }
  if (kind === 'finish') {
    return {
      ...(!COUNT.test(said('counted')) && { counted: 'as-number' }),
      ...(stage === 'differs' && !said('reason') && { reason: 'reason' }),
    };
  }
  return {};
}

/** What is written down; `usual` is why most rows are taken back. */
export function bodyOf({ kind, stage, values }, usual = '') {
  const said = (field) => (values[field] ?? '').trim();
  if (kind === 'undo') return { reason: said('reason') || usual };
  if (kind === 'finish') return { counted: Number(said('counted')), reason: stage === 'differs' ? said('reason') : '' };
  return {
    reason: said('reason'),
    from: asTime(said('from')),
    until: asTime(said('until')),
    head_seq: said('head') ? Number(said('head')) : null,
    anyway: stage === 'newer',
  };
}

export const isComplete = (form) => Object.keys(lacksOf(form)).length === 0;

const typed = (state, { field, text }) => {
  const { form } = state.paperHours;
  // Another count is another question.
  const stage = field === 'counted' ? 'form' : form.stage;
  return withForm(state, { stage, values: { ...form.values, [field]: text }, problems: { ...form.problems, [field]: null }, problem: null });
};

function submitted(state) {
  const problems = lacksOf(state.paperHours.form);
  const [first] = Object.keys(problems);
  if (!first) return withForm(state, { problem: null });
  return focusOn(announce(withForm(state, { problems }), 'form.lacking', {}, true), formPlace(first));
}

/** The number on the printed page is read again; what was typed of it is gone. */
function headAgain(state, { at }) {
  const { values } = state.paperHours.form;
  const next = withForm(changed(state, at), { stage: 'form', values: { ...values, head: '' } });
  return focusOn(next, formPlace('head'));
}

const isMeant = (state) => state;

export const begun = (state, write, answer) => {
  const { paperHours } = state;
  if (paperHours?.openedAt !== write.hoursOpenedAt) return state;
  const came = { ...paperHours.came, open: answer.hour };
  const next = withHours(changed(state, write.at), { came, form: null, screen: 'begun' });
  return focusOn(announce(next, 'on-paper.said-begun', { time: answer.hour.from }), 'hours');
};

export function undone(state, write, answer) {
  if (state.paperHours?.openedAt !== write.hoursOpenedAt) return state;
  const next = withHours(rowCame(state, answer), { form: null, guard: sheetChanged(state.paperHours.guard, write.at) });
  const { row } = next.paperHours;
  // A row that was being settled is gone with it.
  const kept = row && { ...row, last: answer.row, ...(row.settles?.number === answer.row.number && { settles: null, place: row.back }) };
  return focusOn(announce(withHours(next, { row: kept }), 'hours-said.undone', { name: answer.row.name }), row?.hasTimes ? 'hours-time' : 'keying-box');
}

export function finished(state, write, { hour }) {
  const { paperHours } = state;
  if (paperHours?.openedAt !== write.hoursOpenedAt) return state;
  const came = { ...paperHours.came, open: null };
  const next = withHours(changed(state, write.at), { came, form: null, row: null, done: hour, screen: 'finished' });
  return focusOn(announce(next, 'on-paper.said-finished'), 'hours');
}

/** A plain no to one of these. */
export function formRefused(state, write, problem) {
  const guarded = changed(state, write.at);
  const { code } = problem;
  if (code === 'paper-newer') {
    return focusOn(announce(withForm(guarded, { stage: 'newer', told: problem }), 'hours-wrong.paper-newer', problem, true), 'hours');
  }
  if (code === 'paper-time-wrong') {
    const next = withForm(guarded, { problems: { [problem.field]: problem } });
    return focusOn(announce(next, 'hours-wrong.paper-time-wrong', problem, true), formPlace(problem.field));
  }
  if (code === 'paper-does-not-agree') {
    const next = withForm(guarded, { stage: 'differs', told: problem });
    return focusOn(announce(next, 'on-paper.said-differs', { n: problem.rows, counted: problem.counted }, true), isLead(state) ? formPlace('reason') : 'hours');
  }
  return focusOn(withForm(guarded, { problem }), 'problem');
}

/** One step back from a form; null where there is none, or where it is the whole screen. */
export function formBack(state, at) {
  const { form, screen } = state.paperHours;
  if (!form) return null;
  if (form.stage === 'newer') return headAgain(state, { at });
  if (screen === 'begin') return null;
  const { row } = state.paperHours;
  return focusOn(withHours(changed(state, at), { form: null }), row?.hasTimes ? 'hours-time' : 'keying-box');
}

function undoWanted(state, { number, at }) {
  const row = rowsOf(state).find((each) => each.number === number);
  return row && !row.undone ? formBegun(changed(state, at), 'undo', row) : state;
}

const finishWanted = (state, { at }) => formBegun(changed(state, at), 'finish');

const onForm = (change) => whileOpen((state, event) => (state.paperHours.form ? change(state, event) : state));

export const paperFormEvents = {
  'hours-form-typed': onForm(typed),
  'hours-form-submitted': onForm(submitted),
  'hours-head-again': onForm(headAgain),
  'hours-begun-anyway': onForm(isMeant),
  'hours-undo-wanted': whileOpen(undoWanted),
  'hours-finish-wanted': whileOpen(finishWanted),
};
