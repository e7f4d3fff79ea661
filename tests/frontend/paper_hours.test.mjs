import assert from 'node:assert/strict';
import { test } from 'node:test';

import { opening } from '../../frontend/logic/attention_list.js';
import { bodyOf as formBody, isComplete } from '../../frontend/logic/paper_forms.js';
import { bodyOf } from '../../frontend/logic/paper_row.js';
import { rowsByPage } from '../../frontend/logic/paper_state.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { signedOn } from './making.mjs';

const ROW = { number: 1, page: 3, order: 4, time: '14:20', effect: 'signed', name: 'Person of z', said_number: '', initials: 'MK', station: 'Table 1', undone: null, contradiction: null };
const TALLY = { keyed: 1, signed: 1, duplicates: 0, waiting: 0, no_line: 0, undone: 0, standing: 1 };
const hour = (...rows) => ({ begun_seq: 5, from: '14:10', until: '', rows, tally: { ...TALLY, standing: rows.length }, finished: null });
const paper = (...rows) => ({ now: '15:10', open: hour(...rows), hours: [hour(...rows)] });
const NOT_ON_PAPER = { now: '15:10', open: null, hours: [] };

const lead = { worker_id: 'w2', name: 'Lou Okafor', initials: 'LO', role: 'lead' };
const came = (answer) => ({ type: 'hours-came', answer, at: 0 });
const after = (state, ...events) => events.reduce(update, state);
const opened = (answer, day) => after(signedOn(day), { type: 'paper-hours-opened', at: 0 }, came(answer));
const keying = (...rows) => opened(paper(...rows));
const rowOf = (state) => state.paperHours.row;

const line = (lineId) => ({ line_id: lineId, name: `Person of ${lineId}`, birth_date: '1980-02-03' });
const place = (field, text) => ({ type: 'hours-place-typed', field, text });
const enters = (field) => ({ type: 'hours-place-entered', field });
const typed = (text, at = 1000) => ({ type: 'hours-typed', text, at });
const enter = (at, repeat = false) => ({ type: 'hours-entered', at, repeat });
const found = (asked, ...ids) => ({ type: 'hours-found', asked, answer: { matches: ids.map(line), fits: ids.length }, problem: null, at: 1200 });
const lineCame = (lineId) => ({ type: 'hours-line-came', lineId, problem: null, answer: { line: line(lineId), state: { marks: [] }, lookAlikes: [] } });
const SHOWN = [typed('abc'), enter(1100), found(1, 'a'), lineCame('a')];
const shown = (...more) => after(keying(), ...SHOWN, ...more);

const write = (what = 'paper-row', more = {}) => ({ type: 'write-started', write: { key: 'k', what, path: '/x', body: {}, name: 'Person of a', hoursOpenedAt: 0, at: 2000, dialogKind: null, lineId: null, ...more } });
const accepted = (receipt) => ({ type: 'write-accepted', key: 'k', receipt });
const refused = (problem) => ({ type: 'write-refused', key: 'k', problem });
const answer = (row = {}, more = {}) => ({ row: { ...ROW, ...row }, tally: TALLY, flags: [], irregularities: [], call: null, ...more });

test('an open hour is keyed by everybody; without one a lead begins and a worker is told', () => {
  assert.equal(keying().paperHours.screen, 'keying');
  assert.equal(opened(NOT_ON_PAPER).paperHours.screen, 'none');
  const begins = opened(NOT_ON_PAPER, { worker: lead });
  assert.deepEqual([begins.paperHours.screen, begins.focus.on], ['begin', 'hours-reason']);
});

test('the need of the lead opens it', () => {
  assert.equal(opening({ kind: 'paper-hours-open', facts: {} }, 7).type, 'paper-hours-opened');
});

test('a worker goes on behind the last row that they keyed, and another page begins behind its own rows', () => {
  const others = { ...ROW, number: 2, page: 8, order: 2, initials: 'RM' };
  const state = keying(ROW, others);
  assert.deepEqual(rowOf(state).place, { page: '3', order: '5', time: '' });
  assert.equal(state.focus.on, 'hours-time');
  assert.equal(rowOf(after(state, place('page', '8'))).place.order, '3');
});

test('Enter goes on from the page to the time and to the box; what cannot be right keeps the focus', () => {
  assert.equal(after(keying(), enters('page')).focus.on, 'hours-time');
  const time = after(keying(), place('time', '920'), enters('time'));
  assert.deepEqual([time.focus.on, rowOf(time).place.time], ['keying-box', '09:20']);
  const wrong = after(keying(), place('time', '25:10'), enters('time'));
  assert.deepEqual([wrong.focus.on, rowOf(wrong).problems.time], ['hours-time', 'as-time']);
});

test('a card scanned where the time belongs is looked up, and no time is kept', () => {
  const row = rowOf(after(keying(), place('time', '177701234'), enters('time')));
  assert.deepEqual([row.stage, row.text, row.place.time], ['looking', '177701234', '']);
});

test('the first Enter looks up, the second keys once the line stood there to be read', () => {
  assert.equal(rowOf(shown(enter(1300))).isSending, false);
  const sent = rowOf(shown(enter(1600)));
  assert.equal(sent.isSending, true);
  assert.deepEqual(bodyOf(sent), { page: 1, order: 1, time: '', line_id: 'a' });
  assert.equal(rowOf(shown(enter(1600, true))).isSending, false);
  assert.equal(rowOf(after(keying(), ...SHOWN.slice(0, 3), enter(1600))).isSending, false);
});

test('what was shown and not keyed is told when the next is typed', () => {
  assert.equal(rowOf(shown(typed('7', 2000))).notKeyed, 'Person of a');
});

test('a row that is in goes up by one, and without a time the next begins in the box', () => {
  const keyed = (...events) => after(shown(...events, enter(1600)), write(), accepted(answer({ name: 'Person of a' })));
  const next = keyed();
  assert.deepEqual([rowOf(next).place, next.focus.on], [{ page: '1', order: '2', time: '' }, 'keying-box']);
  assert.equal(keyed(place('time', '14:20')).focus.on, 'hours-time');
  assert.deepEqual([rowOf(next).last.name, next.paperHours.told], ['Person of a', null]);
});

test('a duplicate, a contradiction and a flag are told in large words before the next row', () => {
  const told = (row, more) => after(shown(enter(1600)), write(), accepted(answer(row, more)));
  for (const state of [
    told({ effect: 'duplicate' }),
    told({ contradiction: { code: 'paper-and-marked' } }),
    told({}, { flags: [{ code: 'place-keyed', facts: {} }] }),
  ]) {
    assert.ok(state.paperHours.told);
    assert.deepEqual([state.focus.on, state.said.urgent], ['hours-told', true]);
    assert.equal(isUnmeant(state, { type: 'hours-told-read', at: 2100 }), true);
    assert.equal(after(state, { type: 'hours-told-read', at: 2400 }).paperHours.told, null);
  }
});

test('the step that the server names is asked, and the row sent anew with what the paper shows', () => {
  const asked = after(shown(enter(1600)), write(), refused({ code: 'step-missing', steps: ['tell-apart', 'assistance'] }));
  assert.deepEqual([rowOf(asked).stage, rowOf(asked).step, rowOf(asked).isSending], ['ask', 'tell-apart', false]);
  const again = after(asked, { type: 'hours-answered', said: { told_apart: true }, at: 2400 });
  assert.deepEqual([rowOf(again).isSending, bodyOf(rowOf(again)).told_apart], [true, true]);
  const next = after(again, write(), refused({ code: 'step-missing', steps: ['assistance'] }));
  const helped = after(next, { type: 'hours-field-typed', field: 'helper', text: ' Ada Larkspur ' }, { type: 'hours-helper-submitted' });
  assert.deepEqual(bodyOf(rowOf(helped)).helper, { wanted: true, helper_name: 'Ada Larkspur' });
  assert.equal(bodyOf(rowOf(helped)).told_apart, true);
});

test('where the paper is silent the reason is sent, the usual one where none is typed', () => {
  const asked = after(shown(enter(1600)), write(), refused({ code: 'step-missing', steps: ['address-confirmation'] }));
  const why = after(asked, { type: 'hours-why-wanted', at: 2400 });
  assert.equal(why.focus.on, 'hours-why');
  const usual = rowOf(after(why, { type: 'hours-why-submitted', usual: 'not shown' }));
  assert.deepEqual([usual.isSending, bodyOf(usual).anyway], [true, 'not shown']);
});

test('another line typed after a question takes its answers along', () => {
  const asked = after(shown(enter(1600)), write(), refused({ code: 'step-missing', steps: ['tell-apart'] }));
  const back = after(asked, { type: 'hours-back', at: 2400 });
  assert.deepEqual([rowOf(back).stage, rowOf(back).said, rowOf(back).text], ['type', {}, 'abc']);
});

test('a time at which nobody can have signed is told beside it, and the line stays', () => {
  const state = after(shown(enter(1600)), write(), refused({ code: 'paper-time-wrong', field: 'time', time: '00:01' }));
  assert.deepEqual([state.focus.on, rowOf(state).stage, rowOf(state).isSending], ['hours-time', 'shown', false]);
});

test('a line keyed before is asked about, and sent as twice on the paper only when that is said', () => {
  const asked = after(shown(enter(1600)), write(), refused({ code: 'keyed-already', row_number: 1 }));
  assert.equal(rowOf(asked).stage, 'twice');
  const twice = rowOf(after(asked, { type: 'hours-twice-meant', at: 2400 }));
  assert.deepEqual([twice.isSending, bodyOf(twice).twice], [true, true]);
});

test('somebody on no line is written down by name and number, what was typed among them', () => {
  const several = [typed('Ambrose Nettlefold'), enter(1100), found(1)];
  const nobody = after(keying(), ...several, { type: 'hours-digit', key: '1', at: 2000 });
  assert.equal(nobody.focus.on, 'hours-name');
  const sent = rowOf(after(nobody, { type: 'hours-field-typed', field: 'number', text: '17' }, { type: 'hours-person-submitted' }));
  assert.deepEqual(bodyOf(sent), { page: 1, order: 1, time: '', name: 'Ambrose Nettlefold', number: '17' });
});

test('the lead settles a row on a line without asking for its place, and is back where they were', () => {
  const waits = { ...ROW, effect: 'waits', line_id: null };
  const begun = after(opened(paper(waits), { worker: lead }), place('page', '9'), { type: 'hours-settle-wanted', number: 1, at: 500 });
  const asked = rowOf(begun).asked + 1;
  const sent = after(begun, typed('abc'), enter(1100), found(asked, 'a'), lineCame('a'), enter(1600));
  assert.deepEqual(bodyOf(rowOf(sent)), { line_id: 'a' });
  const settled = after(sent, write(), accepted(answer({ settled: { reason: '' } })));
  assert.deepEqual([rowOf(settled).settles, rowOf(settled).place.page], [null, '9']);
  const off = after(begun, { type: 'hours-off-wanted', at: 900 }, { type: 'hours-why-submitted', usual: '' });
  assert.equal(rowOf(off).problems.why, 'reason');
  const said = after(off, { type: 'hours-field-typed', field: 'why', text: 'sent on' }, { type: 'hours-why-submitted', usual: '' });
  assert.deepEqual(bodyOf(rowOf(said)), { reason: 'sent on' });
});

test('Escape goes back from what is shown to the box, then empties it, then leaves', () => {
  const back = { type: 'hours-back', at: 3000 };
  const type = after(shown(), back);
  assert.deepEqual([rowOf(type).stage, rowOf(type).text], ['type', 'abc']);
  const empty = after(type, back);
  assert.equal(rowOf(empty).text, '');
  assert.equal(after(empty, back).paperHours, null);
});

test('an hour begins with a reason, times as they are meant, and the entry where one stands', () => {
  const form = (values, stage = 'form') => ({ kind: 'begin', stage, values });
  assert.equal(isComplete(form({})), false);
  assert.equal(isComplete(form({ reason: 'x', from: '25:00' })), false);
  const body = { reason: 'power cut', from: '09:10', until: '', head_seq: 41, anyway: false };
  assert.deepEqual(formBody(form({ reason: ' power cut ', from: '910', head: '41' })), body);
  assert.equal(formBody(form({ reason: 'x' }, 'newer')).anyway, true);
});

test('paper that is newer is read again first, and what was typed of the number is gone', () => {
  const begins = after(opened(NOT_ON_PAPER, { worker: lead }), { type: 'hours-form-typed', field: 'head', text: '9000' });
  const newer = after(begins, write('paper-begun'), refused({ code: 'paper-newer', head_seq: 9000, log_seq: 9 }));
  assert.equal(newer.paperHours.form.stage, 'newer');
  const again = after(newer, { type: 'hours-head-again', at: 2500 });
  assert.deepEqual([again.focus.on, again.paperHours.form.values.head], ['hours-head', '']);
});

test('where the count differs the lead is asked why, and another count is compared anew', () => {
  const differs = { code: 'paper-does-not-agree', counted: 3, rows: 1, waiting: [] };
  const counts = (day) => after(opened(paper(ROW), day), { type: 'hours-finish-wanted', at: 500 }, { type: 'hours-form-typed', field: 'counted', text: '3' }, write('paper-finish'), refused(differs));
  assert.equal(counts().focus.on, 'hours');
  const state = counts({ worker: lead });
  assert.equal(state.focus.on, 'hours-reason');
  assert.equal(isComplete(state.paperHours.form), false);
  const why = after(state, { type: 'hours-form-typed', field: 'reason', text: 'torn' });
  assert.deepEqual(formBody(why.paperHours.form), { counted: 3, reason: 'torn' });
  assert.deepEqual(why.paperHours.form.told, differs);
  const other = after(why, { type: 'hours-form-typed', field: 'counted', text: '1' });
  assert.deepEqual(formBody(other.paperHours.form), { counted: 1, reason: '' });
});

test('whoever is keying is told when somebody else has finished, and nothing is left to be sent', () => {
  const state = after(shown(), came(NOT_ON_PAPER));
  assert.deepEqual([state.paperHours.screen, state.paperHours.row], ['none', null]);
});

test('rows taken back count on no page', () => {
  assert.deepEqual(rowsByPage([ROW, { ...ROW, number: 2, page: 1 }, { ...ROW, number: 3, undone: { reason: 'x' } }]), [[1, 1], [3, 1]]);
});
