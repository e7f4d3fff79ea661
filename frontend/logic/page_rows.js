/**
 * Keying in a supplemental page, a form row for each person: Enter goes on from field to
 * field, the last Enter keys the row, and the first field is free for the next. Pure.
 *
 * The server judges every row; what it would not add without a person waits for the lead,
 * and is told at once, while the page is still under the finger.
 */

import { announce, focusOn } from './attention.js';
import { rowKeyed } from './keying.js';
import { withLate } from './late_state.js';
import { freshPerson, hasPersonDraft, unreadableBody } from './page_person.js';

const withPerson = (state, changes) => {
  const { keying } = state.late;
  return withLate(state, { keying: { ...keying, person: { ...keying.person, ...changes } } });
};

const typed = (state, { field, value }) => {
  const { values, problems } = state.late.keying.person;
  return withPerson(state, { values: { ...values, [field]: value }, problems: { ...problems, [field]: undefined }, problem: null });
};

const place = (field) => (field === 'voter_number' ? 'keying-box' : `person-${field}`);

/** Nothing at all was typed: said at the first field that every row has. */
function submitted(state) {
  if (hasPersonDraft(state.late.keying)) return withPerson(state, { problem: null });
  return lacking(state, { last_name: 'cell-blank' });
}

function unreadable(state) {
  if (unreadableBody(state.late.keying.person.values)) return withPerson(state, { problems: {}, problem: null });
  return lacking(state, { last_name: 'row-unread' });
}

/** `problems`: `{ field: code }` in the order of the fields; the first gets the focus. */
function lacking(state, problems) {
  const told = withPerson(state, { problems, twice: null });
  return focusOn(announce(told, 'form.lacking', {}, true), place(Object.keys(problems)[0]));
}

/** The row is in, or waits; the form is blank for the next one. */
export function personKeyed(state, write, answer) {
  if (state.late?.keying?.listId !== write.listId) return state;
  const keyed = rowKeyed(state, write, answer);
  const next = focusOn(withPerson(keyed, freshPerson()), 'keying-box');
  if (answer.row.effect !== 'settle') return next;
  return announce(next, 'page.said-waits', { name: write.name }, true);
}

/** Nothing was keyed, and nothing typed is lost. */
export function personRefused(state, write, problem) {
  if (!state.late?.keying?.person) return state;
  if (problem.code === 'keyed-already') {
    const asked = withPerson(state, { twice: { ...problem, name: write.name }, problem: null });
    return focusOn(announce(asked, 'keying.twice', asked.late.keying.person.twice, true), 'late');
  }
  const problems = byField(problem);
  if (Object.keys(problems).length) return lacking(state, problems);
  return focusOn(withPerson(state, { problem, twice: null }), 'problem');
}

function byField({ code, faults = [] }) {
  if (code === 'birth-date-unreadable') return { birth_date: code };
  const ofFields = faults.filter((fault) => fault.column && fault.code);
  return Object.fromEntries(ofFields.map((fault) => [fault.column, fault.code]));
}

const onPerson = (change) => (state, event) => (state.late?.keying?.person ? change(state, event) : state);

export const pageRowEvents = {
  'person-typed': onPerson(typed),
  'person-submitted': onPerson(submitted),
  'person-unreadable': onPerson(unreadable),
  'person-twice': (state) => state,
};
