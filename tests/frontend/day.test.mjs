import assert from 'node:assert/strict';
import { test } from 'node:test';

import { touchesResults, touchesSheet, turnsNow } from '../../frontend/logic/day.js';
import { firstState, update } from '../../frontend/logic/page.js';
import { after, answer, DAY, opened, SIGNATURE, verdict } from './making.mjs';

const entry = (kind, lineId = null, station = 'Table 2') => ({
  seq: 12,
  kind,
  line_id: lineId,
  station,
  initials: 'JO',
});
const ended = { type: 'session-ended' };

test('a wrong PIN moves the focus to the PIN', () => {
  const start = firstState({ language: 'en', station: '', at: 0 });
  const state = [
    { type: 'day-came', day: { ...DAY, worker: null } },
    { type: 'sign-on-asked', station: 'Table 1' },
    { type: 'sign-on-refused', problem: { code: 'wrong-pin', tries_left: 2 } },
  ].reduce(update, start);
  assert.equal(state.focus.on, 'pin');
  assert.equal(state.signOn.problem.tries_left, 2);
});

test('when the session has ended nothing personal stays on the page', () => {
  const full = after(
    { type: 'typed', text: 'castellane', at: 1 },
    { type: 'found', asked: 1, answer: answer('a') },
    ...opened(verdict('sign')),
    { type: 'signature-drawn', strokes: [[[1, 2, 0]]] },
    SIGNATURE,
    ended,
  );
  assert.equal(full.view, 'sign-on');
  assert.doesNotMatch(JSON.stringify(full), /castell|Person of|\[\[1,2,0\]\]|Kessel/i);
});

test('signing off leaves nothing personal either', () => {
  const state = after({ type: 'typed', text: 'castellane', at: 1 }, { type: 'signed-off' });
  assert.doesNotMatch(JSON.stringify(state), /castell|Kessel/i);
});

test('a worker whose record was not confirmed is told to look at the line', () => {
  assert.equal(after(...opened(verdict('sign')), SIGNATURE, ended).signOn.problem.code, 'session-ended-unsure');
  assert.equal(after(ended).signOn.problem.code, 'session-ended');
});

test('a day without a worker ends the session at this table', () => {
  assert.equal(after({ type: 'day-came', day: { ...DAY, worker: null } }).view, 'sign-on');
});

test('what another table did to the open line is told', () => {
  const event = { type: 'entry-came', entry: entry('signature.recorded', 'a'), time: '09:14' };
  assert.deepEqual(after(...opened(verdict('sign')), event).sheet.live, {
    kind: 'signature.recorded',
    station: 'Table 2',
    time: '09:14',
  });
});

test('what this table did itself is not told again', () => {
  const event = { type: 'entry-came', entry: entry('address.confirmed', 'a', 'Table 1'), time: '09:14' };
  assert.equal(after(...opened(verdict('sign')), event).sheet.live, undefined);
});

test('an entry about the open line or a turn of the day reloads the sheet', () => {
  const state = after(...opened(verdict('sign')));
  assert.equal(touchesSheet(state, entry('mark.recorded', 'a')), true);
  assert.equal(touchesSheet(state, entry('line.cut_off')), true);
  assert.equal(touchesSheet(state, entry('mark.recorded', 'b')), false);
  assert.equal(touchesSheet(state, entry('worker.signed_on')), false);
  assert.equal(touchesSheet(after(), entry('mark.recorded', 'a')), false);
});

test('our own signature on its way is not mistaken for somebody else’s', () => {
  const state = after(...opened(verdict('sign')), SIGNATURE);
  assert.equal(touchesSheet(state, entry('signature.recorded', 'a')), false);
});

test('an entry about a line in sight refreshes the lines', () => {
  const state = after({ type: 'typed', text: 'c', at: 1 }, { type: 'found', asked: 1, answer: answer('a') });
  assert.equal(touchesResults(state, entry('mark.recorded', 'a')), true);
  assert.equal(touchesResults(state, entry('mark.recorded', 'b')), false);
  assert.equal(touchesResults(state, entry('day.closed')), true);
});

test('only the turns that come next can be taken', () => {
  assert.deepEqual(turnsNow({ phase: 'not_open' }), ['open']);
  assert.deepEqual(turnsNow({ phase: 'open' }), ['cut-off', 'close']);
  assert.deepEqual(turnsNow({ phase: 'cut_off' }), ['close']);
  assert.deepEqual(turnsNow({ phase: 'closed' }), []);
});

test('going back from a confirm step goes to the turns, and then to the box', () => {
  const confirm = after({ type: 'dialog-opened', kind: 'day', turn: 'close' });
  const turns = update(confirm, { type: 'dialog-closed' });
  assert.equal(turns.dialog.turn, null);
  const closed = update(turns, { type: 'dialog-closed' });
  assert.equal(closed.dialog, null);
  assert.equal(closed.focus.on, 'box');
});
