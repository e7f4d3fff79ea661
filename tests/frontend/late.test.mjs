import assert from 'node:assert/strict';
import { test } from 'node:test';

import { bringLacks } from '../../frontend/logic/bring.js';
import { callBody, changesFor, isArgumentWhole, recordLack } from '../../frontend/logic/call.js';
import { touchesResults, touchesSheet } from '../../frontend/logic/day.js';
import { dialogLack } from '../../frontend/logic/dialog.js';
import { clashesNow, goneOpen, sumOf } from '../../frontend/logic/late_list.js';
import { touchesLate, waiting } from '../../frontend/logic/late_state.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { maySign } from '../../frontend/logic/sheet.js';
import { after, DAY, lineAnswer, opened, reason, signedOn, verdict } from './making.mjs';

const LEAD = { ...DAY.worker, role: 'lead' };
const open = (...events) => after({ type: 'late-opened', at: 0 }, ...events);

/* Late beats early */

const SIGN = opened(verdict('sign'));
const APPLIED = { kind: 'late_list.applied', line_id: null, line_ids: ['x', 'a'], station: "Lead's desk" };
const heard = (entry) => ({ type: 'entry-came', entry, time: '10:00' });
const press = { type: 'sign-pressed', at: 9000 };

test('a list that names the open line halts it until the new verdict is here', () => {
  const before = after(...SIGN);
  assert.equal(isUnmeant(before, press), false);
  const halted = update(before, heard(APPLIED));
  assert.deepEqual([isUnmeant(halted, press), maySign(halted.sheet), halted.said.urgent], [true, false, true]);
  assert.equal(touchesSheet(before, APPLIED), true);
  const refused = verdict('stop', { reasons: [reason('voted-by-mail')] });
  const told = update(halted, { type: 'line-came', lineId: 'a', answer: lineAnswer(refused), at: 9100 });
  assert.deepEqual([told.sheet.isHalted, told.focus.on, told.sheet.strokes], [false, 'verdict', []]);
});

test('a line that is not in the list is not halted, nor by something harmless', () => {
  const other = after(...SIGN, heard({ ...APPLIED, line_ids: ['x'] }));
  assert.equal(isUnmeant(other, press), false);
  const harmless = after(...SIGN, heard({ kind: 'form.given', line_id: 'a', line_ids: [], station: 'Table 2' }));
  assert.equal(isUnmeant(harmless, press), false);
});

test('the lines in sight are asked for again when a list touches them or adds some', () => {
  const found = after({ type: 'typed', text: 'cas', at: 1 });
  assert.equal(touchesResults(found, APPLIED), true);
  assert.equal(touchesResults(after(), APPLIED), false);
});

/* What waits */

test('what waits is told to the lead with its words, and to a worker not at all', () => {
  const counts = { irregularities_open: 2, late_lists_draft: 0, late_rows_open: 1 };
  const lead = signedOn({ worker: LEAD, counts, phone_code: { locked: true } });
  assert.deepEqual(waiting(lead), [['waits.rows', 1], ['waits.irregular', 2], ['waits.codes-locked', 1]]);
  assert.deepEqual(waiting(signedOn({ counts })), []);
});

test('the own rows of a list on paper load nothing again, another table’s do', () => {
  const state = open({ type: 'keying-opened', list: { list_id: 'l' } });
  assert.equal(touchesLate(state, { kind: 'late_list.row_keyed', station: 'Table 1' }), false);
  assert.equal(touchesLate(state, { kind: 'late_list.row_keyed', station: 'Table 2' }), true);
  assert.equal(touchesLate(after(), { kind: 'late_list.row_keyed', station: 'Table 2' }), false);
});

/* A list as a file */

const TALLY = { rows: 9, applied: 4, already: 1, settled: 1, refused: 1, open: 2 };
const row = (number) => ({ row_number: number, effect: 'settle', decision: null, reasons: [], faults: [] });
const preview = { list: { list_id: 'l', status: 'draft', tally: TALLY }, gone: [] };
const LISTED = [
  { type: 'list-wanted', listId: 'l', at: 10 },
  { type: 'list-came', listId: 'l', at: 20, answer: { preview, open: { rows: [row(3), row(5)], count: 2 }, contradicting: { rows: [], count: 0 } } },
];
const answered = (state, key, what, receipt) =>
  [
    { type: 'write-started', write: { key, what, path: '', body: {}, lateOpenedAt: 0, dialogKind: null, lineId: null } },
    { type: 'write-accepted', key, receipt },
  ].reduce(update, state);

test('a list needs its kind and a file that is not too large', () => {
  assert.deepEqual(bringLacks({ kind: null, name: '', size: 0 }), { kind: 'list-kind' });
  assert.deepEqual(bringLacks({ kind: 'removals', name: '', size: 0 }), { file: 'list-file' });
  assert.deepEqual(bringLacks({ kind: 'removals', name: 'x.csv', size: 5_000_000 }), { file: 'list-large' });
  assert.deepEqual(bringLacks({ kind: 'removals', name: 'x.csv', size: 10 }), {});
});

test('the parts of the sum add up to the rows', () => {
  assert.equal(sumOf(TALLY).reduce((sum, [, n]) => sum + n, 0), TALLY.rows);
});

test('a row that waits for a person opens no irregularity by being applied', () => {
  const rows = [{ effect: 'mark' }, { effect: 'settle' }, { effect: 'remove' }];
  assert.deepEqual([clashesNow({ rows, count: 3 }), clashesNow({ rows, count: 10 })], [2, 9]);
});

test('the settled row goes, the next one takes its place, and after the last the list is back', () => {
  const state = open(...LISTED, { type: 'row-opened', row: row(3), at: 30 });
  const once = answered(state, 'k1', 'row-settled', { row: { ...row(3), decision: { how: 'refuse' } }, tally: { ...TALLY, settled: 2, open: 1 } });
  assert.deepEqual([once.late.list.row.row_number, once.late.list.open.count], [5, 1]);
  const twice = answered(once, 'k2', 'row-settled', { row: { ...row(5), decision: { how: 'line' } }, tally: { ...TALLY, settled: 3, open: 0 } });
  assert.deepEqual([twice.late.list.row, twice.late.list.open.rows], [null, []]);
});

test('a decision pressed in the moment in which the next row appears is not meant', () => {
  const state = open(...LISTED, { type: 'row-opened', row: row(3), at: 30 });
  assert.equal(isUnmeant(state, { type: 'row-decided', decision: {}, at: 200 }), true);
  assert.equal(isUnmeant(state, { type: 'row-decided', decision: {}, at: 400 }), false);
});

test('Escape goes from the search to the row, to the list, to the overview and to the table', () => {
  const back = { type: 'late-back', at: 900 };
  const searching = open(...LISTED, { type: 'row-opened', row: row(3), at: 30 }, { type: 'row-staged', stage: 'seek', at: 40 });
  const one = update(searching, back);
  assert.deepEqual([one.late.list.stage, one.late.list.row.row_number], [null, 3]);
  const two = update(one, back);
  assert.equal(two.late.list.row, null);
  const three = update(two, back);
  assert.equal(three.late.screen, 'overview');
  assert.equal(update(three, back).late, null);
});

test('who is no longer listed and undecided still needs a person', () => {
  assert.equal(goneOpen({ gone: [{ decision: null }, { decision: { withdraw: true } }] }).length, 1);
});

test('a refusal of the server is told on the screen that asked', () => {
  const started = open(...LISTED, { type: 'write-started', write: { key: 'k', what: 'list-applied', lateOpenedAt: 0, dialogKind: null, lineId: null } });
  const state = update(started, { type: 'write-refused', key: 'k', problem: { code: 'list-applied-already' } });
  assert.deepEqual([state.late.problem.code, state.dialog, state.focus.on], ['list-applied-already', null, 'problem']);
});

/* A call */

const CALLED = [
  { type: 'late-went', screen: 'call', at: 10 },
  ...['caller', 'office', 'number_called_back', 'asked'].map((field) => ({ type: 'call-typed', field, value: ` ${field} ` })),
  { type: 'caller-submitted', at: 20 },
];
const LINE = { ...lineAnswer(verdict('sign')).line, voter_number: '931040611' };
const STATE = { signature: null, removed: null, marks: [{ kind: 'voted_by_mail' }] };
const VOTER = [
  ...CALLED,
  { type: 'call-voter-chosen', lineId: 'a', at: 30 },
  { type: 'call-line-came', lineId: 'a', answer: { line: LINE, state: STATE } },
];

test('who calls is asked whole before the voter', () => {
  const lacking = open({ type: 'late-went', screen: 'call', at: 10 }, { type: 'caller-submitted', at: 20 });
  assert.deepEqual([lacking.late.call.stage, lacking.focus.on], ['caller', 'call-caller']);
  assert.equal(Object.keys(lacking.late.call.problems).length, 4);
  assert.equal(open(...CALLED).late.call.stage, 'voter');
});

test('only what fits the line is offered', () => {
  const whats = changesFor(open(...VOTER).late.call, DAY).map(({ what, argument }) => `${what} ${argument}`.trim());
  assert.deepEqual(whats, ['mark_early', 'withdraw_mark voted_by_mail', 'remove', 'correct_detail', 'set_button']);
});

test('nothing can be written down before each of the three was confirmed', () => {
  const reading = open(...VOTER, { type: 'call-change-chosen', what: 'withdraw_mark', argument: 'voted_by_mail', at: 40 });
  assert.equal(reading.late.call.stage, 'read');
  const read = (state, part) => update(state, { type: 'call-read', part, at: 50 });
  const two = read(read(reading, 'voter_number'), 'birth_year');
  assert.deepEqual([two.late.call.stage, two.focus.on], ['read', 'read-name']);
  const three = read(two, 'name');
  assert.equal(three.late.call.stage, 'record');
  const body = callBody(three.late.call, DAY);
  assert.deepEqual(body.read_back, { voter_number: '931040611', name: LINE.name, birth_year: 1987 });
  assert.deepEqual(body.change, { what: 'withdraw_mark', argument: 'voted_by_mail' });
  assert.deepEqual([body.caller, body.code, body.confirmed], ['caller', null, true]);
  // Back from there takes the confirmations away: they must be asked for again.
  assert.deepEqual(update(three, { type: 'late-back', at: 60 }).late.call.read, []);
});

test('a misheard code is told before it is sent, and a required one may not be left out', () => {
  const rule = (asked) => ({ phone_code: { asked } });
  assert.equal(recordLack({ code: '' }, rule('required')), 'code-missing');
  assert.equal(recordLack({ code: '' }, rule('optional')), null);
  assert.equal(recordLack({ code: '00000001' }, rule('optional')), 'code-misheard');
  assert.equal(recordLack({ code: '0000-0000' }, rule('optional')), null);
  assert.equal(recordLack({ code: 'whatever' }, rule('off')), null);
});

test('the person of an affidavit is named with the year of birth', () => {
  const whole = (argument) => isArgumentWhole({ what: 'authorise_affidavit', argument });
  assert.deepEqual(['Odette Pell 1980', 'Odette Pell', '1980'].map(whole), [true, false, false]);
});

test('leaving a call with something typed is asked about, and nothing personal outlives the session', () => {
  const state = open(...VOTER);
  const first = [1, 2].reduce((now) => update(now, { type: 'late-back', at: 99 }), state);
  const asked = [1].reduce((now) => update(now, { type: 'late-back', at: 99 }), first);
  assert.equal(asked.late.isLeaving, true);
  assert.doesNotMatch(JSON.stringify(update(asked, { type: 'session-ended' })), /931040611|Castellane/);
});

/* Irregularities */

test('an irregularity needs what it is about and what happened, nothing more', () => {
  const lack = (more) => dialogLack({ kind: 'irregularity', why: null, text: '', ...more })?.code;
  assert.deepEqual([lack({}), lack({ why: 'seal' }), lack({ why: 'seal', text: 'broken' })], ['kind-missing', 'what-missing', undefined]);
});

test('a list is finished without a reason only when the totals agree', () => {
  const lack = (missing) => dialogLack({ kind: 'finish-list', missing, text: '' })?.code;
  assert.deepEqual([lack(0), lack(2), lack(-1)], [undefined, 'reason-missing', 'reason-missing']);
});

test('a proof that cannot be printed is told where the lists are, and nothing of them is lost', () => {
  const state = open({ type: 'proof-missing' });
  assert.deepEqual([state.notice.key, state.said.key, state.said.urgent], ['listed.no-proof', 'listed.no-proof', true]);
  assert.equal(state.late.screen, 'overview');
});
