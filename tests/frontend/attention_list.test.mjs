import assert from 'node:assert/strict';
import { test } from 'node:test';

import { isOpenedFor, needFacts, needKey, opening } from '../../frontend/logic/attention_list.js';
import { hourRows, shareWords } from '../../frontend/logic/turnout.js';
import { update } from '../../frontend/logic/whole_page.js';
import { DAY, signedOn } from './making.mjs';

const LEAD = { ...DAY.worker, role: 'lead' };
const asLead = (...events) => events.reduce(update, signedOn({ worker: LEAD }));
const item = (key, more = {}) => ({ key, kind: 'late-list-draft', facts: { list: key }, list_id: key, line_id: null, irregularity_seq: null, ...more });
const came = (...keys) => ({ type: 'needs-came', items: keys.map((key) => item(key)) });
const OPEN = { type: 'now-opened', at: 1 };

test('the list is kept while nothing is open, and nobody but a lead has one', () => {
  assert.equal(asLead(came('a', 'b')).needs.length, 2);
  assert.equal(update(signedOn(), came('a')).needs, null);
  assert.equal(update(signedOn(), OPEN).now, null);
});

test('it opens on the oldest, and on its heading where nothing waits', () => {
  assert.deepEqual([asLead(came('a', 'b'), OPEN).now.on, asLead(came('a'), OPEN).focus.on], ['a', 'need']);
  assert.equal(asLead(came(), OPEN).focus.on, 'now');
});

test('opened before the first list has come, the oldest has the focus once it is here', () => {
  const state = asLead(OPEN, came('a', 'b'));
  assert.deepEqual([state.now.on, state.focus.on], ['a', 'need']);
  assert.equal(asLead(OPEN, came()).focus.on, 'now');
});

test('the focus stays on the same item when an older one comes before it', () => {
  const state = asLead(came('a', 'b'), OPEN, { type: 'need-focused', key: 'b' });
  const next = update(state, came('z', 'a', 'b'));
  assert.deepEqual([next.now.on, next.focus.on, next.focus.count], ['b', 'need', state.focus.count + 1]);
  // The very same list asks for nothing.
  assert.equal(update(next, came('z', 'a', 'b')), next);
});

test('where the item is settled the focus goes to whichever took its place', () => {
  const state = asLead(came('a', 'b', 'c'), OPEN, { type: 'need-focused', key: 'b' });
  assert.equal(update(state, came('a', 'c')).now.on, 'c');
  assert.equal(update(state, came('a')).now.on, 'a');
  const none = update(state, came());
  assert.deepEqual([none.now.on, none.focus.on], [null, 'now']);
});

test('a lead who is on the print button is not drawn away by what comes', () => {
  const state = asLead(came('a', 'b'), OPEN, { type: 'need-focused', key: null });
  assert.equal(update(state, came('b')).focus.count, state.focus.count);
});

test('what is new is said once, and the first list is not', () => {
  const first = asLead(came('a'));
  assert.equal(first.said.key, null);
  const second = update(first, came('a', 'b'));
  assert.deepEqual([second.said.key, second.said.facts.list, second.said.urgent], ['attention.late-list-draft', 'b', false]);
  assert.equal(update(second, came('b')).said.count, second.said.count);
  assert.deepEqual(update(first, came('a', 'b', 'c')).said.facts, { n: 2 });
});

test('a kind that nobody knows yet has a general sentence and opens what it names', () => {
  const strange = item('x', { kind: 'from-next-year', list_id: null, line_id: 'l1', facts: {} });
  assert.equal(needKey(strange), 'attention.other');
  assert.deepEqual(opening(strange, 5), { type: 'look-alike-opened', lineId: 'l1', name: '' });
  assert.equal(opening({ ...strange, line_id: null }, 5), null);
});

test('each kind opens its place', () => {
  const of = (kind, more) => opening(item('k', { kind, list_id: null, ...more }), 5);
  assert.equal(of('codes-locked').kind, 'unlock-codes');
  assert.equal(of('helper-over-limit').type, 'lists-opened');
  assert.deepEqual(of('irregularity-open', { irregularity_seq: 9, line_id: 'l' }), { type: 'late-opened', screen: 'irregularities', seq: 9, at: 5 });
  assert.equal(of('line-contradicts', { irregularity_seq: 9, line_id: 'l' }).lineId, 'l');
  assert.equal(of('late-rows-open', { list_id: 'p' }).listId, 'p');
  assert.equal(of('station-quiet', { station: 'Table 1' }), null);
});

test('rows and people no longer listed are one number', () => {
  assert.equal(needFacts({ kind: 'late-rows-open', facts: { rows: 2, gone: 3 } }).n, 5);
  assert.equal(needFacts({ kind: 'readings-off', facts: { difference: -4 } }).n, 4);
});

test('what was opened from the view goes back to it, and from there to the table', () => {
  const open = asLead(came('a'), OPEN, { type: 'late-opened', at: 2, listId: 'a' });
  assert.deepEqual([open.now, open.late.screen], [null, 'overview']);
  const back = update(open, { type: 'late-back', at: 900 });
  assert.deepEqual([back.late, back.now.on, back.focus.on], [null, 'a', 'need']);
  assert.equal(update(back, { type: 'now-left' }).focus.on, 'box');
  const lists = asLead(came('a'), OPEN, { type: 'lists-opened' }, { type: 'lists-left' });
  assert.deepEqual([lists.lists, lists.now.on], [null, 'a']);
});

test('a call that is half written is not thrown away by opening something else', () => {
  const call = asLead({ type: 'late-opened', at: 1, screen: 'call' });
  const typed = { ...call, late: { ...call.late, call: { ...call.late.call, values: { ...call.late.call.values, caller: 'Ruth Ostrander' } } } };
  const next = update(typed, { type: 'late-opened', at: 2 });
  assert.equal(next.late.call.values.caller, 'Ruth Ostrander');
  assert.equal(next.late.isLeaving, true);
});

test('nothing of it outlives the session', () => {
  const left = asLead(came('a'), OPEN, { type: 'signed-off' });
  assert.deepEqual([left.now, left.needs], [null, null]);
});

const hour = (from, to, signed, soFar) => ({ from, to, local_from: from, local_to: to, signed, signed_so_far: soFar });

test('the bars are of the fullest hour, and an hour to come has no number', () => {
  const rows = hourRows({
    as_of: '08:30',
    hours: [hour('07:00', '08:00', 4, 4), hour('08:00', '09:00', 1, 5), hour('09:00', '10:00', 0, 5)],
  });
  assert.deepEqual(rows.map(({ signed, width, isNow }) => [signed, width, isNow]), [[4, 100, false], [1, 25, true], [null, 0, false]]);
  assert.equal(hourRows({ as_of: '07:30', hours: [hour('07:00', '08:00', 0, 0)] })[0].width, 0);
});

test('a share is written as the language writes it, and none is none', () => {
  assert.equal(shareWords(0.3126, 'en-US'), '31.3%');
  assert.equal(shareWords(null, 'en-US'), '');
});

test('what is to be done about the second copy depends on why it is not written', () => {
  const key = (why) => needKey(item('c', { kind: 'copy-failing', facts: { why } }));
  assert.equal(key('gone'), 'copy.gone');
  assert.equal(key('failed'), 'attention.copy-failing');
  assert.equal(key(null), 'attention.copy-failing');
});

test('a copy that holds more has a sentence of its own, the stick’s and the second laptop’s', () => {
  const key = (which, why) => needKey(item('c', { kind: 'copy-failing', facts: { which, why } }));
  assert.equal(key('carbon', 'holds-more'), 'copy.holds-more');
  assert.equal(key('standby', 'holds-more'), 'copy.standby-holds-more');
  assert.equal(key('standby', 'gone'), 'copy.standby');
});

test('an irregularity that the program opened says what for; one that was written by hand, what about', () => {
  const one = (code, kind = 'irregularity-open') => item('i', { kind, facts: { irregularity: 'other', code } });
  assert.equal(needKey(one('record-is-older')), 'opened-for.record-is-older');
  const keys = ['', 'signed-already', 'from-next-year', undefined].map((code) => needKey(one(code)));
  assert.deepEqual(new Set(keys), new Set(['attention.irregularity-open']));
  assert.deepEqual([isOpenedFor(one('check-failed')), isOpenedFor(one('')), isOpenedFor(one('check-failed', 'codes-locked'))], [true, false, false]);
});
