import assert from 'node:assert/strict';
import { test } from 'node:test';

import { asTime, dialogLack } from '../../frontend/logic/dialog.js';
import { maySeeLists, overLimit, touchesLists } from '../../frontend/logic/lists.js';
import { update } from '../../frontend/logic/whole_page.js';
import { after, match, opened, reason, RECEIPT, signedOn, verdict } from './making.mjs';

const SIGNED = opened(verdict('stop', { reasons: [reason('already-signed')] }));
const open = (kind, more = {}) => after(...SIGNED, { type: 'dialog-opened', kind, ...more });
const typed = (field, text) => ({ type: 'dialog-typed', field, text });
const found = (asked, ...lines) => ({
  type: 'right-lines-found', asked, problem: null, answer: { matches: lines, fits: lines.length },
});
const lookingFor = (text, ...lines) =>
  [{ type: 'right-line-typed', text }, found(1, ...lines)].reduce(update, open('move'));

test('a withdrawal needs a why; the usual ones need no further reason', () => {
  const lack = (...events) => dialogLack(events.reduce(update, open('withdraw')).dialog);
  assert.deepEqual(lack(), { code: 'why-missing', field: 'why' });
  assert.equal(lack(typed('why', 'spoiled')), null);
  assert.deepEqual(lack(typed('why', 'other')), { code: 'reason-missing', field: 'text' });
  assert.equal(lack(typed('why', 'other'), typed('text', 'the voter asks')), null);
});

test('whoever left needs no reason, whoever came back does', () => {
  assert.equal(dialogLack(open('left').dialog), null);
  assert.deepEqual(dialogLack(open('returned').dialog), { code: 'reason-missing', field: 'text' });
});

test('the wrong line is never offered as the right one, and an older answer replaces no newer one', () => {
  const state = lookingFor('cas', match('a'), match('b'));
  assert.deepEqual(state.dialog.search.matches.map((each) => each.line_id), ['b']);
  const newer = [{ type: 'right-line-typed', text: 'cast' }, found(2, match('c')), found(1, match('b'))].reduce(update, state);
  assert.deepEqual(newer.dialog.search.matches.map((each) => each.line_id), ['c']);
});

test('a right line with look-alikes needs the birth date, and then the reason', () => {
  const chosen = update(lookingFor('cas', match('b', { look_alikes: 1 })), { type: 'right-line-chosen', lineId: 'b' });
  assert.equal(chosen.focus.on, 'dialog-birthDate');
  assert.equal(dialogLack(chosen.dialog).field, 'birthDate');
  const said = update(chosen, typed('birthDate', '3/4/1987'));
  assert.equal(dialogLack(said.dialog).field, 'text');
  const plain = update(lookingFor('cas', match('b', { look_alikes: 0 })), { type: 'right-line-chosen', lineId: 'b' });
  assert.equal(plain.focus.on, 'dialog-text');
});

test('Escape goes from the confirmation back to the search, and what was searched is kept', () => {
  const chosen = update(lookingFor('cas', match('b')), { type: 'right-line-chosen', lineId: 'b' });
  const searching = update(chosen, { type: 'dialog-closed' });
  assert.deepEqual([searching.dialog.chosen, searching.dialog.search.text], [null, 'cas']);
  const closed = update(searching, { type: 'dialog-closed' });
  assert.deepEqual([closed.dialog, closed.focus.on, closed.sheet.lineId], [null, 'verdict', 'a']);
});

test('after a move both lines are in sight with what stood before and stands after', () => {
  const line = (line_id, signature) => ({ line_id, name: `Person of ${line_id}`, ballot_button: 1, signature });
  const answer = {
    withdrawn: RECEIPT,
    recorded: { ...RECEIPT, seq: 10 },
    flags: [{ code: 'ballot-differs', facts: { was: 1, is: 2 } }],
    before: { from: line('a', RECEIPT), to: line('b', null) },
    after: { from: line('a', null), to: line('b', RECEIPT) },
  };
  const write = { key: 'k1', what: 'move', path: '/x', body: {}, lineId: 'a', name: 'Castellane, Orsolya', searchText: '' };
  const state = [{ type: 'write-started', write }, { type: 'write-accepted', key: 'k1', receipt: answer }].reduce(update, open('move'));
  assert.deepEqual([state.dialog, state.sheet, state.focus.on], [null, null, 'box']);
  assert.equal(state.confirmation.kind, 'moved');
  assert.deepEqual(state.confirmation.flags, answer.flags);
  assert.equal(state.confirmation.after.to.signature, RECEIPT);
});

test('a refused correction is told in its dialog, and what was typed is kept', () => {
  const write = { key: 'k1', what: 'withdrawal', path: '/x', body: {}, lineId: 'a', name: '', searchText: '' };
  const state = [typed('text', 'spoiled'), { type: 'write-started', write }, { type: 'write-refused', key: 'k1', problem: { code: 'nothing-to-withdraw' } }].reduce(update, open('withdraw'));
  assert.deepEqual([state.dialog.problem.code, state.dialog.text], ['nothing-to-withdraw', 'spoiled']);
});

test('an order needs its name and an hour, typed as people type hours', () => {
  const lack = (reference, until) => dialogLack({ ...open('extend').dialog, reference, until })?.field;
  assert.equal(lack('', ''), 'reference');
  assert.equal(lack('order 27-118', ''), 'until');
  assert.equal(lack('order 27-118', 'soon'), 'until');
  assert.equal(lack('order 27-118', '25:00'), 'until');
  assert.equal(lack('order 27-118', '2130'), undefined);
  assert.deepEqual(['2130', '9:05', '21.30', ' 21:30 '].map(asTime), ['21:30', '09:05', '21:30', '21:30']);
});

test('from extending the hours or taking a turn back, Escape goes to the day', () => {
  for (const given of [{ kind: 'extend' }, { kind: 'take-back', turn: 'day.opened' }]) {
    const state = after({ type: 'dialog-opened', ...given }, { type: 'dialog-closed' });
    assert.deepEqual([state.dialog.kind, state.dialog.turn], ['day', null]);
    assert.equal(update(state, { type: 'dialog-closed' }).dialog, null);
  }
});

test('only lead and registrar see the lists, and what is listed reloads them', () => {
  assert.equal(maySeeLists(signedOn()), false);
  assert.equal(maySeeLists(signedOn({ worker: { role: 'lead' } })), true);
  assert.equal(maySeeLists(signedOn({ worker: { role: 'registrar' } })), true);
  const listed = after({ type: 'lists-opened' });
  assert.equal(touchesLists(listed, { kind: 'person.directed' }), true);
  assert.equal(touchesLists(listed, { kind: 'signature.recorded' }), false);
  assert.equal(touchesLists(after(), { kind: 'person.directed' }), false);
});

test('helpers over the limit are told apart, and the lists go with the session', () => {
  const answer = { people: [], ballots: [], helpers: [{ name: 'Wilma Gant', over: true }, { name: 'Otto Gant', over: false }], limit: 5 };
  const state = after({ type: 'lists-opened' }, { type: 'lists-came', answer });
  assert.deepEqual(overLimit(state.lists).map((each) => each.name), ['Wilma Gant']);
  assert.doesNotMatch(JSON.stringify(update(state, { type: 'session-ended' })), /Gant/);
  assert.equal(update(state, { type: 'lists-left' }).focus.on, 'box');
});
