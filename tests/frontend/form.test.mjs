import assert from 'node:assert/strict';
import { test } from 'node:test';

import { affidavitFacts, provisionalFacts } from '../../frontend/logic/ending.js';
import { affidavitBody, fieldsOf, lacksOf, provisionalBody, provisionalReason } from '../../frontend/logic/form_fields.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { formNow } from '../../frontend/logic/way_state.js';
import { after, DAY, lineAnswer, opened, reason, RECEIPT, step, verdict } from './making.mjs';

const lost = (situation, options, ...events) =>
  [
    { type: 'lost-opened', at: 1000 },
    { type: 'way-asked' },
    ...Object.entries(situation).map(([field, value]) => ({ type: 'way-answered', field, value, at: 2000 })),
    { type: 'way-asked' },
    { type: 'way-came', asked: 2, answer: { question: null, options, caution: '', suggestions: [] }, at: 3000 },
    ...events,
  ].reduce(update, after());

const AFFIDAVIT = { code: 'correction-affidavit', facts: {} };
const PROVISIONAL = { code: 'provisional-ballot', facts: { ballot_class: 'ordinary', may_not_count: false } };
const chosen = ({ code }) => ({ type: 'ending-chosen', code, at: 4000 });
const typed = (values) => Object.entries(values).map(([field, value]) => ({ type: 'form-typed', field, value }));
const submitted = { type: 'form-submitted', at: 9000 };
const back = { type: 'way-back', at: 20000 };

const FILLED = {
  authorised_by: ' Ada Brisk ',
  authorised_how: 'phone',
  last_name: 'Quixote',
  first_name: 'Ambrose',
  birth_date: '9/30/1999',
  street_address: '12 Wharf Street',
  ballot_button: 2,
};
const ENVELOPE = { name: 'Ambrose Quixote', street_address: '12 Wharf Street', ballot_button: 1, envelope: 'A-12' };

const affidavit = (...events) =>
  lost({ registrar: 'authorised', in_line_at_cut_off: true }, [AFFIDAVIT], chosen(AFFIDAVIT), ...events);
const provisional = (situation, ...events) => lost(situation, [PROVISIONAL], chosen(PROVISIONAL), ...events);
const names = (state) => {
  const form = formNow(state.way);
  return fieldsOf(form.kind, form.values, state.day, state.way).map((each) => each.name);
};

test('the fields stand in the order in which one asks for them, and the first has the focus', () => {
  const state = affidavit();
  assert.deepEqual(names(state).slice(0, 4), ['authorised_by', 'authorised_how', 'last_name', 'first_name']);
  assert.equal(names(state).at(-1), 'ballot_button');
  assert.equal(state.focus.on, 'form-authorised_by');
  assert.deepEqual(names(provisional({})).at(-1), 'envelope');
});

test('no ballot button is asked where one ballot serves all', () => {
  const state = affidavit();
  const day = { ...DAY, ballots: [{ style: '4-07', button: null }] };
  const form = formNow(state.way);
  assert.ok(!fieldsOf('affidavit', form.values, day, state.way).some((each) => each.name === 'ballot_button'));
});

test('a protected address is neither asked for nor sent', () => {
  const state = affidavit(...typed({ ...FILLED, address_protected: true }));
  assert.ok(!names(state).includes('street_address'));
  const body = affidavitBody(state.way, formNow(state.way));
  assert.deepEqual([body.street_address, body.city, body.address_protected], ['', '', true]);
});

test('everything that is missing is told at once, and the first such field gets the focus', () => {
  const state = affidavit(...typed({ authorised_by: 'Ada Brisk' }), submitted);
  const { problems } = formNow(state.way);
  assert.deepEqual(Object.keys(problems), ['authorised_how', 'last_name', 'birth_date', 'street_address', 'ballot_button']);
  assert.equal(state.focus.on, 'form-authorised_how');
  assert.equal(formNow(state.way).stage, 'fields');
});

test('an envelope number is copied plainly or told to be copied again', () => {
  const fields = [{ name: 'envelope', isNeeded: true }];
  assert.deepEqual(lacksOf(fields, { envelope: 'A 12' }), { envelope: 'envelope-plain' });
  assert.deepEqual(lacksOf(fields, { envelope: '' }), { envelope: 'envelope' });
  assert.deepEqual(lacksOf(fields, { envelope: ' A-12 ' }), {});
});

test('the rules are asked about an affidavit before anybody signs it', () => {
  const state = affidavit(...typed(FILLED), submitted);
  assert.equal(formNow(state.way).isDue, true);
  assert.equal(formNow(state.way).stage, 'fields');
  const ready = update(state, { type: 'form-checked', answer: { verdict: verdict('sign'), already_on: null }, at: 9500 });
  assert.equal(formNow(ready.way).stage, 'sign');
  assert.equal(ready.focus.on, 'way', 'no button that an absent-minded Enter would press');
});

test('a question that the rules still ask is asked, and its answer weighed with the rest', () => {
  const answer = { verdict: verdict('first', { steps: [step('identification', { required: true })] }), already_on: null };
  const asking = affidavit(...typed(FILLED), submitted, { type: 'form-checked', answer, at: 9500 });
  assert.equal(formNow(asking.way).stage, 'step');
  const said = { type: 'form-answered', said: 'identification', value: 'shown', at: 10000 };
  const answered = update(asking, said);
  assert.equal(formNow(answered.way).isDue, true);
  assert.equal(affidavitBody(answered.way, formNow(answered.way)).evidence.identification, 'shown');
  assert.equal(isUnmeant(asking, { ...said, at: 9600 }), true, 'not by a double click');
});

test('what is sent of an affidavit is trimmed, with birth date and place in line as evidence', () => {
  const state = affidavit(...typed(FILLED));
  const body = affidavitBody(state.way, formNow(state.way));
  assert.equal(body.authorised_by, 'Ada Brisk');
  assert.deepEqual([body.evidence.birth_date, body.evidence.in_line_at_cut_off], ['9/30/1999', true]);
  assert.deepEqual([body.ballot_button, body.somebody_else], [2, false]);
});

test('the sentence before the last confirmation names who, by whom, which button and how', () => {
  const state = affidavit(...typed(FILLED));
  assert.deepEqual(affidavitFacts(formNow(state.way), DAY.worker), {
    name: 'Ambrose Quixote', by: 'Ada Brisk', how: 'phone', button: 2, signed: 'paper', initials: 'MK',
  });
});

test('a person who has a line is sent there; only the lead may say it is somebody else', () => {
  const other = { line_id: 'q', name: 'Quixote, Ambrose', voter_number: '1' };
  const state = affidavit(...typed(FILLED), submitted, {
    type: 'form-checked', answer: { verdict: verdict('sign'), already_on: other }, at: 9500,
  });
  assert.deepEqual(formNow(state.way).alreadyOn, other);
  assert.deepEqual([formNow(state.way).stage, state.focus.on], ['fields', 'already-on']);
  const insisted = update(state, { type: 'form-somebody-else' });
  assert.equal(formNow(insisted.way).values.somebody_else, true);
  assert.equal(formNow(insisted.way).isDue, true);
});

test('Escape goes from the signature to the fields, and nothing typed is lost', () => {
  const signing = provisional({}, ...typed(ENVELOPE), submitted);
  assert.equal(formNow(signing.way).stage, 'sign');
  const fields = update(signing, back);
  assert.equal(formNow(fields.way).stage, 'fields');
  const options = update(fields, back);
  assert.equal(options.way.ending, null);
  const again = update(options, chosen(PROVISIONAL));
  assert.equal(formNow(again.way).values.envelope, 'A-12');
});

test('why somebody votes provisionally follows from what was asked', () => {
  const because = (situation, facts = PROVISIONAL.facts) =>
    provisionalReason({ line: null, situation, options: [{ ...PROVISIONAL, facts }] });
  assert.equal(because({}), 'not-on-a-list');
  assert.equal(because({ elsewhere: 'yes' }), 'registered-elsewhere');
  assert.equal(because({ registrar: 'elsewhere' }), 'registered-elsewhere');
  assert.equal(because({ elsewhere: 'yes' }, { ballot_class: 'extended_hours' }), 'extended-hours');
});

const STOPPED = verdict('stop', { reasons: [reason('voted-by-mail')], options: [PROVISIONAL] });
const onLine = (line, event) => {
  const answer = lineAnswer(STOPPED);
  const came = { ...opened(STOPPED)[1], answer: { ...answer, line: { ...answer.line, ...line } } };
  return after(opened(STOPPED)[0], came, { type: 'line-way-opened', code: 'provisional-ballot', at: 5000, ...event });
};
const NAMED = { first_name: 'Orsolya', middle_name: '', last_name: 'Castellane', suffix: '', ballot_button: 2 };

test('on a line its name, address and button stand in the form already', () => {
  const { values } = formNow(onLine(NAMED).way);
  assert.deepEqual([values.name, values.street_address, values.ballot_button], ['Orsolya Castellane', '12 Wharf Street', 2]);
});

test('of a protected line no address is asked for, shown or sent', () => {
  const state = onLine({ ...NAMED, address_protected: true, street_address: '', city: '', postal_code: '' });
  assert.ok(!names(state).some((name) => ['address_protected', 'street_address', 'city'].includes(name)));
  const body = provisionalBody(state.way, formNow(state.way));
  assert.deepEqual([body.address_protected, body.street_address], [true, '']);
});

test('a challenged voter’s form asks who says so, and keeps the line', () => {
  const state = onLine(NAMED, { because: 'challenged' });
  assert.equal(names(state)[0], 'note');
  const body = provisionalBody(state.way, formNow(state.way));
  assert.deepEqual([body.reason, body.line_id, body.affirmed], ['challenged', 'a', true]);
  assert.equal(provisionalBody(onLine(NAMED).way, formNow(onLine(NAMED).way)).reason, 'voted-by-mail');
});

test('where a step cannot be done what is left is offered, and why is asked for', () => {
  const first = verdict('first', { steps: [step('address-confirmation')], if_not_done: [PROVISIONAL, { code: 'write-down-why', facts: {} }] });
  const state = after(...opened(first), { type: 'line-way-opened', because: 'step-not-done', at: 5000 });
  assert.deepEqual([state.way.ending, state.way.options.length], [null, 2]);
  const asking = update(state, chosen(PROVISIONAL));
  assert.equal(names(asking)[0], 'note');
  assert.equal(provisionalBody(asking.way, formNow(asking.way)).reason, 'step-not-done');
  const options = update(asking, back);
  assert.deepEqual([options.way.ending, options.way.line.lineId], [null, 'a']);
  assert.equal(update(options, back).way, null);
});

const writing = (state, what) => ({
  type: 'write-started',
  write: { key: 'k1', what, path: '/x', body: { how: 'paper', ballot_button: 1 }, lineId: null, name: 'Ambrose Quixote', searchText: '', wayOpenedAt: state.way.openedAt },
});

test('a used envelope is told beside its field, and nothing typed is lost', () => {
  const state = provisional({}, ...typed(ENVELOPE), submitted);
  const refused = [writing(state, 'provisional'), { type: 'write-refused', key: 'k1', problem: { code: 'envelope-used', envelope: 'A-12' } }].reduce(update, state);
  assert.deepEqual(formNow(refused.way).problems, { envelope: 'envelope-used' });
  assert.deepEqual([formNow(refused.way).stage, refused.focus.on], ['fields', 'form-envelope']);
  assert.equal(formNow(refused.way).values.name, 'Ambrose Quixote');
});

test('fields that the server misses are told beside them', () => {
  const state = affidavit(...typed(FILLED), submitted);
  const refused = update(state, { type: 'form-check-refused', problem: { code: 'bad-request', missing: ['ballot_button'] } });
  assert.deepEqual(formNow(refused.way).problems, { ballot_button: 'ballot_button' });
  const unreadable = update(state, { type: 'form-check-refused', problem: { code: 'birth-date-unreadable' } });
  assert.equal(unreadable.focus.on, 'form-birth_date');
  const unreachable = update(state, { type: 'form-check-refused', problem: { code: 'unreachable' } });
  assert.deepEqual([unreachable.way.problem.code, unreachable.way.isBusy], ['unreachable', false]);
});

test('after a provisional ballot its envelope and button stay in sight, and the box is ready', () => {
  const state = provisional({}, ...typed(ENVELOPE), submitted);
  const receipt = { ...RECEIPT, envelope: 'A-12', ballot_class: 'ordinary', papers: ['provisional-slip'] };
  const done = [writing(state, 'provisional'), { type: 'write-accepted', key: 'k1', receipt }].reduce(update, state);
  assert.deepEqual([done.way, done.focus.on], [null, 'box']);
  assert.deepEqual([done.confirmation.envelope, done.confirmation.ballotButton, done.confirmation.seq], ['A-12', 1, 9]);
  assert.equal(provisionalFacts(state.way, formNow(state.way), DAY.worker).reason, 'not-on-a-list');
});

test('after an affidavit the new line can be opened, and its ballot button stays in sight', () => {
  const state = affidavit(...typed(FILLED));
  const answer = { added: { ...RECEIPT, seq: 8 }, signed: RECEIPT, line_id: 'new', ballot_button: 2, look_alikes: 0, papers: ['correction-affidavit'] };
  const done = [writing(state, 'affidavit'), { type: 'write-accepted', key: 'k1', receipt: answer }].reduce(update, state);
  assert.deepEqual([done.confirmation.lineId, done.confirmation.ballotButton, done.confirmation.localTime], ['new', 2, '09:14']);
});
