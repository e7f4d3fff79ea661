import assert from 'node:assert/strict';
import { test } from 'node:test';

import { hasPersonDraft, personBody, personFields } from '../../frontend/logic/page_person.js';
import { update } from '../../frontend/logic/whole_page.js';
import { after, DAY } from './making.mjs';

const LIST = { list_id: 'l1', name: 'Page 2', kind: 'supplemental', form: 'paper', status: 'keying', printed_total: 3, count: 0, not_found: 0, tally: { rows: 0, open: 0 } };
const typed = (field, value) => ({ type: 'person-typed', field, value });
const page = (...events) => after({ type: 'late-opened', at: 0 }, { type: 'keying-opened', list: LIST }, ...events);
const person = (state) => state.late.keying.person;
const WRITE = { key: 'k', what: 'person-keyed', path: '', body: {}, listId: 'l1', name: 'Pell, Odette', lineId: null, lateOpenedAt: 0 };
const started = { type: 'write-started', write: WRITE };
const row = (effect, more = {}) => ({ row_number: 1, effect, person: null, contradiction: null, reasons: [], read: { name: '', voter_number: '' }, ...more });
const accepted = (given) => ({ type: 'write-accepted', key: 'k', receipt: { row: given, count: 1, printed_total: 3, not_found: 0 } });
const refused = (problem) => ({ type: 'write-refused', key: 'k', problem });
const FILLED = [typed('last_name', 'Pell'), typed('first_name', 'Odette'), typed('birth_date', '3/4/1980')];

test('a supplemental page begins in its first field, and the fields come in the order of the page', () => {
  const state = page();
  assert.equal(state.focus.on, 'keying-box');
  const names = (values, day) => personFields(values, day).map(({ name }) => name);
  assert.deepEqual(names(person(state).values, DAY), [
    'voter_number', 'last_name', 'first_name', 'middle_name', 'suffix', 'birth_date', 'address_protected',
    'street_address', 'city', 'postal_code', 'party', 'ballot_button', 'assistance', 'address_confirmation',
  ]);
  const hidden = names({ ...person(state).values, address_protected: true }, { ...DAY, ballots: [] });
  assert.equal(hidden.some((name) => ['street_address', 'city', 'postal_code', 'ballot_button'].includes(name)), false);
});

test('a protected address is not sent, even if it was typed first', () => {
  const body = personBody(person(page(typed('street_address', '1 Wharf'), typed('address_protected', true), ...FILLED)).values, false);
  assert.deepEqual([body.street_address, body.address_protected, body.last_name, body.twice], ['', true, 'Pell', false]);
});

test('a blank row is not keyed: its name is asked for', () => {
  const state = page({ type: 'person-submitted', at: 1 });
  assert.deepEqual([person(state).problems, state.focus.on], [{ last_name: 'cell-blank' }, 'person-last_name']);
});

test('a row that is in leaves the form blank, counted, and the focus in the first field', () => {
  const state = page(...FILLED, started, accepted(row('add', { person: { name: 'Pell, Odette' } })));
  assert.equal(hasPersonDraft(state.late.keying), false);
  assert.deepEqual([state.focus.on, state.late.keying.list.count, state.late.keying.last.row.effect], ['keying-box', 1, 'add']);
});

test('a row that waits for the lead is said at once, and urgently', () => {
  const state = page(...FILLED, started, accepted(row('settle')));
  assert.deepEqual([state.said.key, state.said.urgent], ['page.said-waits', true]);
});

test('every wrong field is told beside itself, and nothing typed is lost', () => {
  const faults = [
    { where: 'body.birth_date', column: 'birth_date', code: 'birth-date-impossible', what: '' },
    { where: 'body.ballot_button', column: 'ballot_button', code: 'button-missing', what: '' },
  ];
  const state = page(...FILLED, started, refused({ code: 'bad-request', faults }));
  assert.deepEqual(person(state).problems, { birth_date: 'birth-date-impossible', ballot_button: 'button-missing' });
  assert.deepEqual([state.focus.on, person(state).values.last_name], ['person-birth_date', 'Pell']);
});

test('a birth date that cannot be read is told beside its field', () => {
  const state = page(...FILLED, started, refused({ code: 'birth-date-unreadable' }));
  assert.deepEqual(person(state).problems, { birth_date: 'birth-date-unreadable' });
});

test('the same row once more is asked about, and Escape goes back to what was typed', () => {
  const state = page(...FILLED, started, refused({ code: 'keyed-already', row_number: 1, local_time: '09:14', initials: 'MK' }));
  assert.equal(person(state).twice.row_number, 1);
  const back = update(state, { type: 'late-back', at: 9000 });
  assert.deepEqual([person(back).twice, person(back).values.last_name, back.focus.on], [null, 'Pell', 'keying-box']);
});

test('any other refusal stands above the row, which stays', () => {
  const state = page(...FILLED, started, refused({ code: 'list-finished' }));
  assert.deepEqual([person(state).problem.code, state.focus.on, person(state).values.last_name], ['list-finished', 'problem', 'Pell']);
});

test('leaving with a row half typed is asked about first', () => {
  const asked = page(...FILLED, { type: 'late-back', at: 9000 });
  assert.equal(asked.late.isLeaving, true);
  const stayed = update(asked, { type: 'late-back', at: 9100 });
  assert.deepEqual([stayed.late.screen, stayed.focus.on], ['keying', 'keying-box']);
  assert.equal(page({ type: 'late-back', at: 9000 }).late.screen, 'overview');
});

test('a row that cannot be read whole needs at least a name or a number', () => {
  const state = page({ type: 'person-unreadable' });
  assert.deepEqual(person(state).problems, { last_name: 'row-unread' });
  assert.deepEqual(person(page(typed('last_name', 'Pe'), { type: 'person-unreadable' })).problems, {});
});
