import assert from 'node:assert/strict';
import { test } from 'node:test';

import { update } from '../../frontend/logic/whole_page.js';
import { isDueAgain, isUnanswered } from '../../frontend/logic/pending.js';
import { isOnItsWay } from '../../frontend/logic/sheet.js';
import { after, opened, reason, RECEIPT, SIGNATURE, verdict } from './making.mjs';

const unanswered = { type: 'write-unanswered', key: 'k1' };
const accepted = { type: 'write-accepted', key: 'k1', receipt: RECEIPT };
const failed = { type: 'server-failed', askedAt: 9000 };
const signing = [...opened(verdict('sign')), SIGNATURE];

test('nothing is shown as recorded before the server has said so', () => {
  assert.equal(after(...signing).confirmation, null);
  assert.equal(after(...signing, unanswered).confirmation, null);
  assert.ok(after(...signing, unanswered, accepted).confirmation);
});

test('a write without an answer keeps its key and its content', () => {
  const state = after(...signing, unanswered);
  assert.equal(state.pending.key, 'k1');
  assert.deepEqual(state.pending.body, SIGNATURE.write.body);
});

test('it is sent again by itself once the server can be reached, and not before', () => {
  const gone = after(...signing, unanswered, failed);
  assert.equal(isDueAgain(gone), false);
  assert.equal(isDueAgain(update(gone, { type: 'server-answered', at: 9500 })), true);
});

test('it is not sent a second time while the first sending is out', () => {
  assert.equal(isDueAgain(after(...signing)), false);
  assert.equal(isDueAgain(after(...signing, unanswered, { type: 'write-sent-again' })), false);
});

test('neither yes nor no: no answer, outcome-unknown, or a server that only stammers', () => {
  const pending = { tries: 1 };
  assert.equal(isUnanswered(null, pending), true);
  assert.equal(isUnanswered({ status: 503, body: { code: 'outcome-unknown' } }, pending), true);
  assert.equal(isUnanswered({ status: 502, body: {} }, pending), true);
  assert.equal(isUnanswered({ status: 503, body: { code: 'storage-refused' } }, pending), false);
  assert.equal(isUnanswered({ status: 409, body: { code: 'already-signed' } }, pending), false);
  assert.equal(isUnanswered({ status: 200, body: RECEIPT }, pending), false);
});

test('a server that fails the same way again and again is not asked for ever', () => {
  const mishap = { status: 500, body: { code: 'unexpected' } };
  assert.equal(isUnanswered(mishap, { tries: 1 }), true);
  assert.equal(isUnanswered(mishap, { tries: 5 }), false);
});

test('after signing, the box is empty and focused, and the ballot stays in sight', () => {
  const state = after({ type: 'typed', text: 'cas', at: 1 }, ...opened(verdict('sign')), {
    ...SIGNATURE,
    write: { ...SIGNATURE.write, searchText: 'cas' },
  }, accepted);
  assert.equal(state.search.text, '');
  assert.equal(state.focus.on, 'box');
  assert.deepEqual(
    [state.confirmation.name, state.confirmation.ballotButton, state.confirmation.localTime],
    ['Castellane, Orsolya', 2, '09:14'],
  );
  assert.equal(update(state, { type: 'typed', text: 'd', at: 5000 }).confirmation, null);
});

test('a late yes does not take away the sheet of the next voter, and is told', () => {
  const state = after(
    ...signing,
    unanswered,
    { type: 'sheet-left' },
    { type: 'line-opened', lineId: 'b', name: 'Castor, Ione', at: 4000 },
    accepted,
  );
  assert.equal(state.sheet.lineId, 'b');
  assert.equal(state.pending, null);
  assert.equal(state.notice.facts.name, 'Castellane, Orsolya');
});

test('a late yes shows its confirmation where the worker has only gone back', () => {
  assert.ok(after(...signing, unanswered, { type: 'sheet-left' }, accepted).confirmation);
});

test('a refusal is shown on the sheet and focused, and records nothing', () => {
  const problem = { code: 'already-signed', verdict: verdict('stop', { reasons: [reason('already-signed')] }) };
  const state = after(...signing, { type: 'write-refused', key: 'k1', problem });
  assert.equal(state.pending, null);
  assert.equal(state.confirmation, null);
  assert.equal(state.sheet.problem.code, 'already-signed');
  assert.equal(state.focus.on, 'problem');
});

test('a late refusal is told in a dialog if its sheet has been left', () => {
  const state = after(...signing, unanswered, { type: 'sheet-left' }, {
    type: 'write-refused',
    key: 'k1',
    problem: { code: 'already-signed' },
  });
  assert.equal(state.dialog.kind, 'not-recorded');
  assert.equal(state.dialog.name, 'Castellane, Orsolya');
});

test('an answer to an earlier write changes nothing', () => {
  const state = after(...signing);
  assert.equal(update(state, { ...accepted, key: 'other' }), state);
});

test('a second write does not start while one is out', () => {
  const second = { ...SIGNATURE, write: { ...SIGNATURE.write, key: 'k2' } };
  assert.equal(after(...signing, second).pending.key, 'k1');
});

const WITHDRAWAL = { ...SIGNATURE, write: { ...SIGNATURE.write, what: 'withdrawal', path: '/lines/a/signature/withdraw', body: { reason: 'wrong line' } } };
const signedLine = opened(verdict('stop', { reasons: [reason('already-signed')] }));

test('after a withdrawal no button to sign stands ready: the page is as after signing', () => {
  const state = after(
    { type: 'typed', text: 'cas', at: 1 },
    ...signedLine,
    { type: 'dialog-opened', kind: 'withdraw' },
    { ...WITHDRAWAL, write: { ...WITHDRAWAL.write, searchText: 'cas' } },
    accepted,
  );
  assert.equal(state.sheet, null);
  assert.equal(state.dialog, null);
  assert.deepEqual([state.confirmation.kind, state.confirmation.name], ['withdrawn', 'Castellane, Orsolya']);
  assert.deepEqual([state.focus.on, state.search.text], ['box', '']);
  assert.deepEqual([state.said.key, state.said.facts.name], ['corrected.withdrawn', 'Castellane, Orsolya']);
});

test('a late withdrawal does not take away the sheet of the next voter, and is told', () => {
  const state = after(
    ...signedLine,
    WITHDRAWAL,
    unanswered,
    { type: 'line-opened', lineId: 'b', name: 'Castor, Ione', at: 4000 },
    accepted,
  );
  assert.equal(state.sheet.lineId, 'b');
  assert.deepEqual([state.notice.key, state.notice.facts.name], ['corrected.withdrawn', 'Castellane, Orsolya']);
});

test('the line of a record on its way is known, so that its row can say so', () => {
  const state = after(...signing, unanswered, { type: 'sheet-left' });
  assert.equal(isOnItsWay(state, 'a'), true);
  assert.equal(isOnItsWay(state, 'b'), false);
  assert.equal(isOnItsWay(update(state, accepted), 'a'), false);
});

test('a sign-off that must wait for a record is told on the screen until the record is through', () => {
  const state = after(...signing, unanswered, { type: 'sign-off-held' });
  assert.equal(state.notice.key, 'strip.unsent');
  assert.equal(state.said.key, 'strip.unsent');
  assert.equal(update(state, accepted).notice, null);
  const refused = { type: 'write-refused', key: 'k1', problem: { code: 'already-signed' } };
  assert.equal(update(state, refused).notice, null);
});
