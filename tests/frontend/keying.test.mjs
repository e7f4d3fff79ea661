import assert from 'node:assert/strict';
import { test } from 'node:test';

import { lastCounting, missing, startLacks } from '../../frontend/logic/keying.js';
import { update } from '../../frontend/logic/whole_page.js';
import { after } from './making.mjs';

const LIST = { list_id: 'l1', name: 'Second list', kind: 'mail_voted', status: 'keying', printed_total: 3, count: 0, not_found: 0, tally: { rows: 0 } };
const line = (lineId) => ({ line_id: lineId, name: `Person of ${lineId}`, birth_date: '1980-02-03' });
const typed = (text, at = 1000) => ({ type: 'keying-typed', text, at });
const enter = (at) => ({ type: 'keying-entered', at, repeat: false });
const found = (...ids) => ({ type: 'keying-found', asked: 1, answer: { matches: ids.map(line), fits: ids.length }, problem: null, at: 1200 });
const came = (lineId) => ({ type: 'keying-line-came', lineId, problem: null, answer: { line: line(lineId), state: {}, lookAlikes: [] } });
const keying = (...events) => after({ type: 'late-opened', at: 0 }, { type: 'keying-opened', list: LIST }, ...events);
const box = (...events) => keying(...events).late.keying;
const SHOWN = [typed('abc'), enter(1100), found('a'), came('a')];

test('the first Enter looks up, the second marks once the line stood there to be read', () => {
  assert.equal(box(...SHOWN).stage, 'shown');
  assert.equal(box(...SHOWN, enter(1300)).sending, null);
  const sent = box(...SHOWN, enter(1600));
  assert.equal(sent.sending.match.line_id, 'a');
  assert.deepEqual([sent.text, sent.stage], ['', 'type']);
});

test('a held key marks nobody, nor does Enter before the line itself has come', () => {
  assert.equal(box(...SHOWN, { type: 'keying-entered', at: 1600, repeat: true }).sending, null);
  assert.equal(box(typed('abc'), enter(1100), found('a'), enter(1600)).sending, null);
});

test('what was shown and not marked is told when the next is typed or scanned', () => {
  const next = box(...SHOWN, typed('7', 2000), typed('72', 2010), enter(2015));
  assert.deepEqual([next.notMarked, next.stage, next.sending], ['Person of a', 'looking', null]);
});

test('several lines: Enter chooses none, a digit chooses, the digit after them says on no line', () => {
  const several = [typed('abc'), enter(1100), found('a', 'b')];
  assert.deepEqual([box(...several, enter(2000)).sending, box(...several, enter(2000)).hint], [null, 'keying.press-digit']);
  const digit = (key) => ({ type: 'keying-digit', key, at: 2000 });
  assert.equal(box(...several, digit('2')).shown.match.line_id, 'b');
  assert.equal(box(...several, digit('3')).shown.isNone, true);
  assert.equal(box(...several, digit('4')).stage, 'several');
});

test('a digit that begins a scan is given back to the box', () => {
  const state = box(typed('abc'), enter(1100), found('a', 'b'), { type: 'keying-digit', key: '1', at: 2000 }, typed('7', 2010));
  assert.deepEqual([state.text, state.stage, state.notMarked], ['17', 'type', '']);
});

test('an answer to an older question shows nothing', () => {
  assert.equal(box(typed('abc'), enter(1100), typed('abcd', 1150), found('a')).stage, 'type');
});

test('arrow down shows what else fits and that it may be on no line', () => {
  assert.equal(box(...SHOWN, { type: 'keying-others' }).stage, 'several');
});

const write = { key: 'k1', what: 'row-keyed', path: '/x', body: { line_id: 'a' }, name: 'Person of a', birthDate: '1980-02-03', listId: 'l1', lateOpenedAt: 0, dialogKind: null, lineId: null };
const ROW = { row_number: 1, effect: 'mark', agreement: 'number_and_person', decision: null, contradiction: null };
const RECEIVED = { row: ROW, count: 1, not_found: 0, printed_total: 3 };

test('a row that is in counts, and the last one that counts can be taken back', () => {
  const state = keying(...SHOWN, enter(1600), { type: 'write-started', write }, { type: 'write-accepted', key: 'k1', receipt: RECEIVED });
  const { keying: now } = state.late;
  assert.deepEqual([now.list.count, missing(now), now.sending, lastCounting(now).row_number], [1, 2, null, 1]);
  const undone = { ...now, rows: [{ ...ROW, decision: { how: 'undone' } }] };
  assert.equal(lastCounting(undone), null);
});

test('a contradiction is said at once and urgently', () => {
  const row = { ...ROW, contradiction: { code: 'signed-already', on_line: {}, on_list: {} } };
  const state = keying(...SHOWN, enter(1600), { type: 'write-started', write }, { type: 'write-accepted', key: 'k1', receipt: { ...RECEIVED, row } });
  assert.deepEqual([state.said.key, state.said.urgent], ['keying.said-contradicts', true]);
});

test('a line keyed before is asked about, and counts twice only after 1 and Enter', () => {
  const refused = { type: 'write-refused', key: 'k1', problem: { code: 'keyed-already', row_number: 1, local_time: '10:00', initials: 'RM' } };
  const asked = keying(...SHOWN, enter(1600), { type: 'write-started', write }, refused);
  assert.equal(asked.late.keying.stage, 'twice');
  assert.equal(update(asked, enter(3000)).late.keying.sending, null);
  const yes = [{ type: 'keying-digit', key: '1', at: 3000 }, came('a'), enter(3400)].reduce(update, asked);
  assert.deepEqual([yes.late.keying.sending.isTwice, yes.pending], [true, null]);
});

test('Escape goes from the line to the box, empties it, and then leaves', () => {
  const back = { type: 'late-back', at: 5000 };
  assert.equal(box(...SHOWN, back).stage, 'type');
  assert.equal(box(...SHOWN, back, back).text, '');
  assert.equal(keying(...SHOWN, back, back, back).late.screen, 'overview');
});

test('a list on paper needs its kind, its name and its printed total', () => {
  assert.deepEqual(Object.keys(startLacks({ kind: null, name: ' ', total: 'many' })), ['kind', 'name', 'total']);
  assert.deepEqual(startLacks({ kind: 'mail_voted', name: 'Second', total: '30' }), {});
});
