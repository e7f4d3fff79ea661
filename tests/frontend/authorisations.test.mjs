import assert from 'node:assert/strict';
import { test } from 'node:test';

import { personOf, touchesAuthorisations } from '../../frontend/logic/authorisations.js';
import { affidavitBody, fieldsOf } from '../../frontend/logic/form_fields.js';
import { update } from '../../frontend/logic/whole_page.js';
import { formNow } from '../../frontend/logic/way_state.js';
import { after, DAY } from './making.mjs';

const call = (seq, person, caller = 'Ada Brisk') => ({ seq, person, caller, office: 'Registrar', local_time: '10:42' });
const PELL = call(7, 'Odette Pell 1980');
const LOCKE = call(9, 'Locke, Ambrose 1974', 'Ines Orr');
const came = (...authorisations) => ({ type: 'authorisations-came', authorisations });
const typed = (field, value) => ({ type: 'form-typed', field, value });

/** At the affidavit of somebody who spelled `text`. */
const form = (text, ...events) =>
  after(
    { type: 'typed', text, at: 0 },
    { type: 'lost-opened', at: 1000 },
    { type: 'way-asked' },
    { type: 'way-came', asked: 1, answer: { question: null, options: [{ code: 'correction-affidavit', facts: {} }], caution: '', suggestions: [] }, at: 2000 },
    { type: 'ending-chosen', code: 'correction-affidavit', at: 3000 },
    ...events,
  );
const values = (state) => formNow(state.way).values;
const names = ({ way }) => fieldsOf('affidavit', formNow(way).values, DAY, way).map(({ name }) => name);

test('a name is divided as it was said: last name first with a comma, last otherwise', () => {
  const parts = (text) => Object.values(personOf(text));
  assert.deepEqual(parts('Odette Pell 1980'), ['1980', 'Pell', 'Odette', '', '']);
  assert.deepEqual(parts('Odette Ann Pell, born 1980'), ['1980', 'Pell', 'Odette', 'Ann', '']);
  assert.deepEqual(parts('Pell, Odette Ann (1980)'), ['1980', 'Pell', 'Odette', 'Ann', '']);
  assert.deepEqual(parts('Juan de la Cruz 1961'), ['1961', 'de la Cruz', 'Juan', '', '']);
  assert.deepEqual(parts('Ruben Okafor Jr. 1955'), ['1955', 'Okafor', 'Ruben', '', 'Jr.']);
  assert.deepEqual(parts('Zzyzx 1990'), ['1990', 'Zzyzx', '', '', '']);
  assert.deepEqual(parts(''), ['', '', '', '', '']);
});

test('without a call the form asks nothing about calls', () => {
  assert.equal(names(form('qqqq zzzz', came())).includes('authorisation_seq'), false);
  assert.equal(affidavitBody(form('qqqq').way, formNow(form('qqqq').way)).authorisation_seq, null);
});

test('of several calls none is chosen beforehand unless exactly one names the person', () => {
  assert.equal(values(form('qqqq zzzz', came(PELL, LOCKE))).authorisation_seq, null);
  assert.equal(values(form('pell odétte', came(PELL, LOCKE))).authorisation_seq, 7);
  const twice = values(form('pell odette', came(PELL, call(8, 'Odette Pell 1951'))));
  assert.deepEqual([twice.authorisation_seq, twice.last_name], [null, '']);
});

test('a last name alone chooses nobody: a brother has it too', () => {
  assert.equal(values(form('pell', came(PELL))).authorisation_seq, null);
});

test('the call that is chosen fills in who authorised, how, and the name', () => {
  const state = form('qqqq', came(PELL, LOCKE), typed('authorisation_seq', 9));
  const { authorised_by: by, authorised_how: how, last_name: last, first_name: first, birth_date: born } = values(state);
  assert.deepEqual([by, how, last, first, born], ['Ines Orr', 'phone', 'Locke', 'Ambrose', '']);
  assert.equal(affidavitBody(state.way, formNow(state.way)).authorisation_seq, 9);
  const birth = fieldsOf('affidavit', values(state), DAY, state.way).find(({ name }) => name === 'birth_date');
  assert.equal(birth.born, '1974');
});

test('another call takes its place, and none of them takes away what the first filled in', () => {
  const chosen = form('qqqq', came(PELL, LOCKE), typed('authorisation_seq', 7));
  const other = update(chosen, typed('authorisation_seq', 9));
  assert.deepEqual([values(other).last_name, values(other).authorised_by], ['Locke', 'Ines Orr']);
  const none = update(other, typed('authorisation_seq', 0));
  assert.deepEqual([values(none).last_name, values(none).authorised_by, values(none).authorised_how], ['', '', null]);
  assert.equal(affidavitBody(none.way, formNow(none.way)).authorisation_seq, null);
});

test('what was typed by hand is never replaced', () => {
  const state = form('qqqq', typed('last_name', 'Pelle'), came(PELL), typed('authorisation_seq', 7));
  assert.deepEqual([values(state).last_name, values(state).first_name], ['Pelle', 'Odette']);
});

test('calls that come while somebody types do not take the focus', () => {
  const state = form('qqqq', typed('authorised_by', 'A'));
  assert.equal(update(state, came(PELL)).focus.count, state.focus.count);
  assert.equal(form('qqqq', came(PELL)).focus.on, 'form-authorisation_seq');
});

test('a call used at another table meanwhile is no longer chosen, and that is said', () => {
  const state = form('qqqq', came(PELL), typed('authorisation_seq', 7), came());
  assert.equal(values(state).authorisation_seq, null);
  assert.equal(formNow(state.way).problems.authorised_by, 'authorisation-used');
  assert.deepEqual([state.focus.on, state.said.urgent], ['form-authorised_by', true]);
});

test('the server says the same where the news has not come yet', () => {
  const state = form('qqqq', came(PELL), typed('authorisation_seq', 7));
  const problem = { code: 'bad-request', field: 'authorisation_seq' };
  const refused = update(state, { type: 'form-check-refused', problem });
  assert.equal(formNow(refused.way).problems.authorised_by, 'authorisation-used');
});

test('only a call or a new line makes them due again, and only while a way is open', () => {
  const state = form('qqqq');
  assert.equal(touchesAuthorisations(state, { kind: 'phone_in.recorded' }), true);
  assert.equal(touchesAuthorisations(state, { kind: 'mark.recorded' }), false);
  assert.equal(touchesAuthorisations(after(), { kind: 'phone_in.recorded' }), false);
});
