import assert from 'node:assert/strict';
import { test } from 'node:test';

import { standingOf, sumOf } from '../../frontend/logic/balance.js';
import { nextCheck, withTick } from '../../frontend/logic/checks.js';
import { touchesWork, workScreens } from '../../frontend/logic/day_work.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { lacksOf, momentsNow, writeOf } from '../../frontend/logic/work_form.js';
import { DAY, signedOn } from './making.mjs';

const LEAD = { worker: { ...DAY.worker, role: 'lead' } };
const item = (code, more = {}) => ({ code, sentence: code, required: true, tick: null, ...more });
const RIGHT = { passed: true, seq: 5, local_time: '06:10', initials: 'LO', station: 'Table 1', note: '' };

const list = (...items) => ({ stage: 'opening', shipped: true, items, missing: items.map(({ code }) => code), failed: [], ready: false });
const OPENING = list(item('oath-taken'), item('safety-walk'), item('telephone-tried', { required: false }));

const atWork = (screen, ...events) =>
  [{ type: 'work-opened', screen, at: 1000 }, ...events].reduce(update, signedOn({ ...LEAD, phase: 'not_open' }));

const atChecks = (...events) => atWork('opening', { type: 'work-came', screen: 'opening', answer: OPENING }, ...events);

const written = (state, what, body, more = {}) => ({
  type: 'write-started',
  write: { key: 'k', what, path: '', body, at: 2000, workOpenedAt: state.dayWork.openedAt, dialogKind: null, ...more },
});

/** The write accepted, or refused. */
const answered = (state, what, body, answer, more) => {
  const begun = update(state, written(state, what, body, more));
  const end = answer.code ? { type: 'write-refused', key: 'k', problem: answer } : { type: 'write-accepted', key: 'k', receipt: answer };
  return update(begun, end);
};

const tick = (state, code, answer = { ...RIGHT, call: null }) =>
  answered(state, 'tick', { code, passed: true, note: '' }, answer, { stage: 'opening' });

test('the first check has the focus, and each tick moves it to the next', () => {
  const begun = atChecks();
  assert.equal(begun.focus.on, 'check-oath-taken');
  const one = tick(begun, 'oath-taken');
  assert.equal(one.focus.on, 'check-safety-walk');
  assert.equal(one.dayWork.checks.opening.items[0].tick.passed, true);
  const all = tick(tick(one, 'safety-walk'), 'telephone-tried');
  assert.equal(all.focus.on, 'work-onwards');
  assert.equal(all.dayWork.checks.opening.ready, true);
});

test('after the last line the checks that were passed over come first', () => {
  const one = withTick(OPENING, 'telephone-tried', RIGHT);
  assert.equal(nextCheck(one, 'telephone-tried'), 'oath-taken');
  assert.equal(nextCheck(list(item('a', { tick: RIGHT })), 'a'), null);
});

test('a check that failed counts as not right until it is ticked again', () => {
  const failed = withTick(OPENING, 'oath-taken', { ...RIGHT, passed: false, note: 'nobody came' });
  assert.deepEqual([failed.missing, failed.failed, failed.ready], [['safety-walk'], ['oath-taken'], false]);
  assert.deepEqual(withTick(failed, 'oath-taken', RIGHT).failed, []);
});

test('a bounce of the key that ticked one check does not tick the next', () => {
  const one = tick(atChecks(), 'oath-taken');
  assert.equal(isUnmeant(one, { type: 'check-ticked', code: 'safety-walk', at: 2100 }), true);
  assert.equal(isUnmeant(one, { type: 'check-ticked', code: 'safety-walk', at: 2400 }), false);
});

test('what is wrong must be said, and then it is told whom to call before anything else', () => {
  const asked = atChecks({ type: 'check-wrong-asked', code: 'safety-walk', at: 1500 }, { type: 'check-wrong-submitted' });
  assert.deepEqual([asked.dayWork.failing.problem, asked.focus.on], ['what-missing', 'check-note']);
  const call = { office: 'the office', phone: '555-0142' };
  const told = answered(asked, 'tick', { code: 'safety-walk', passed: false, note: 'a cord' }, { ...RIGHT, call }, { stage: 'opening' });
  assert.deepEqual([told.dayWork.told.call, told.focus.on, told.said.urgent], [call, 'work-told', true]);
  const read = update(told, { type: 'told-read', at: 3000 });
  assert.equal(read.focus.on, 'check-telephone-tried');
});

test('a tick that is refused says so and loses nothing that was typed', () => {
  const asked = atChecks({ type: 'check-wrong-asked', code: 'safety-walk', at: 1500 }, { type: 'check-note-typed', text: 'a cord' });
  const refused = answered(asked, 'tick', { code: 'safety-walk', passed: false, note: 'a cord' }, { code: 'not-allowed' }, { stage: 'opening' });
  assert.deepEqual([refused.dayWork.problem.code, refused.dayWork.failing.note, refused.focus.on], ['not-allowed', 'a cord', 'problem']);
});

test('a tick of another table is shown and takes nobody away from the line they are at', () => {
  const at = atChecks({ type: 'check-reached', code: 'safety-walk' });
  const count = at.focus.count;
  const came = update(at, { type: 'work-came', screen: 'opening', answer: withTick(OPENING, 'oath-taken', RIGHT) });
  assert.deepEqual([came.focus.count, came.dayWork.row], [count, 'safety-walk']);
});

const READING = { type: 'work-form-opened', kind: 'reading', serial: 'TM-1', moment: 'opening', at: 1400 };
const typed = (field, value) => ({ type: 'work-typed', field, value });

test('a zero report is written down as it was ticked, thousands as they were called out', () => {
  const { form } = atWork('machines', READING, typed('time_right', true), typed('public', '0'), typed('protective', '18,233'), typed('on_screen', '18 233')).dayWork;
  const { path, body } = writeOf(form, DAY);
  assert.equal(path, '/machines/TM-1/readings');
  assert.deepEqual([body.public, body.protective, body.zero_report.protective_on_screen], [0, 18233, 18233]);
  assert.deepEqual([body.zero_report.time_right, body.zero_report.candidates_zero], [true, false]);
});

test('what is no number is told beside its field, and nothing is written', () => {
  for (const wrong of ['', 'o', '-1', '1e5', '999999999']) {
    const state = atWork('machines', READING, typed('public', wrong), typed('protective', '5'), typed('on_screen', '5'), { type: 'work-submitted', at: 2000 });
    assert.deepEqual(lacksOf(state.dayWork.form, DAY), ['public'], wrong);
    assert.deepEqual([state.focus.on, state.dayWork.form.problems.public], ['work-public', true]);
  }
});

const DOUBTED = { code: 'reading-doubtful', doubts: [{ code: 'public-not-zero', facts: { public: 3 }, sentence: '' }] };
const doubted = () => answered(atWork('machines', READING, typed('time_right', true), typed('public', '3')), 'work-form', {}, DOUBTED);

test('a doubt is told first; read again means typed again, with the ticks kept', () => {
  const state = doubted();
  assert.deepEqual([state.dayWork.form.stage, state.focus.on], ['doubt', 'work']);
  const again = update(state, { type: 'work-read-again', at: 3000 });
  assert.deepEqual([again.dayWork.form.stage, again.dayWork.form.values, again.focus.on], ['form', { time_right: true }, 'work-public']);
});

test('whoever insists gives a reason before it is sent', () => {
  const insists = update(doubted(), { type: 'work-insisted', at: 3000 });
  const blank = update(insists, { type: 'work-reason-submitted' });
  assert.deepEqual([blank.dayWork.form.insists, blank.focus.on], [false, 'work-reason']);
  const said = [{ type: 'work-reason-typed', text: 'seen by both' }, { type: 'work-reason-submitted' }].reduce(update, blank);
  const { body } = writeOf(said.dayWork.form, DAY);
  assert.deepEqual([body.anyway, body.reason, body.public], [true, 'seen by both', 3]);
});

test('a number that stands already is replaced only with a reason', () => {
  const state = answered(atWork('machines', READING, typed('public', '0')), 'work-form', {}, { code: 'counted-already', seq: 12, public: 0 });
  assert.deepEqual([state.dayWork.form.stage, state.dayWork.form.standing], ['standing', { seq: 12, count: 0 }]);
  const replaced = [{ type: 'work-replaces', at: 3000 }, { type: 'work-reason-typed', text: 'misread' }].reduce(update, state);
  const { body } = writeOf(replaced.dayWork.form, DAY);
  assert.deepEqual([body.replaces, body.reason, body.anyway], [12, 'misread', false]);
});

test('after a seal the next one is asked for, of the same kind', () => {
  const begun = atWork('seals', { type: 'work-form-opened', kind: 'seal', at: 1400 }, typed('of', 'bag'), typed('number', 'K-1'));
  const next = answered(begun, 'work-form', {}, { ...RIGHT, call: null, flags: [] });
  assert.deepEqual([next.dayWork.form.values.of, next.dayWork.form.values.number], ['bag', '']);
});

test('Escape goes one step back each time, and out at last', () => {
  const back = (state, at) => update(state, { type: 'work-back', at });
  const form = back(update(doubted(), { type: 'work-insisted', at: 3000 }), 3500);
  assert.equal(form.dayWork.form.stage, 'form');
  const screen = back(form, 4000);
  assert.deepEqual([screen.dayWork.form, screen.dayWork.screen], [null, 'machines']);
  const out = back(screen, 4500);
  assert.deepEqual([out.dayWork, out.focus.on], [null, 'box']);
});

const TERMS = { signatures_printed: 8, signatures_listed: 1, signatures_affidavit: 1, left: 1, expected: 9, counted: 9 };
const balance = (more = {}) => ({ terms: TERMS, missing: [], causes: [], difference: 0, balances: true, ...more });

test('the sum stands as it is added up on paper', () => {
  const sum = sumOf(balance()).map(([, sign, n]) => `${sign}${n}`);
  assert.deepEqual(sum, ['8', '+1', '+1', '−1', '=9']);
});

test('how it stands is said in one word, and nothing balances before all is counted', () => {
  assert.equal(standingOf(balance()), 'balances');
  assert.equal(standingOf(balance({ difference: 1, balances: false })), 'ahead');
  assert.equal(standingOf(balance({ difference: -1, balances: false })), 'behind');
  assert.equal(standingOf(balance({ balances: false })), 'differs');
  assert.equal(standingOf(balance({ difference: null, missing: [{ what: 'machine', name: 'TM-1' }] })), 'missing');
});

test('a cause that no longer fits closes by itself once the sum is made anew', () => {
  const cause = { code: 'left-unrecorded', delta: -1, lines: [], serials: [], facts: {}, times: [] };
  const came = (causes) => ({ type: 'work-came', screen: 'balance', answer: balance({ causes }) });
  const open = atWork('balance', came([cause]), { type: 'cause-opened', place: 0, at: 2000 });
  assert.equal(open.dayWork.cause.code, 'left-unrecorded');
  assert.equal(update(open, came([cause])).dayWork.cause.code, 'left-unrecorded');
  assert.equal(update(open, came([])).dayWork.cause, null);
});

test('a sum that comes late draws nobody away from where they are', () => {
  const awaiting = atWork('balance');
  const came = update(awaiting, { type: 'work-came', screen: 'balance', answer: balance() });
  assert.equal(came.focus, awaiting.focus);
});

test('a worker makes the checks and reads machines and seals; balance and papers are the lead’s', () => {
  assert.deepEqual(workScreens(signedOn()), ['opening', 'machines', 'seals', 'closing']);
  assert.deepEqual(workScreens(signedOn(LEAD)).slice(-2), ['balance', 'papers']);
});

test('machines are read at the moment of the day that it is', () => {
  assert.deepEqual(momentsNow({ phase: 'not_open' }), ['opening']);
  assert.deepEqual(momentsNow({ phase: 'cut_off' }), ['close', 'during']);
  assert.deepEqual(momentsNow({ phase: 'unheard of' }), []);
});

test('what happens at other tables loads an open screen anew, and no closed one', () => {
  const state = atChecks();
  assert.equal(touchesWork(state, { kind: 'checklist.ticked' }), true);
  assert.equal(touchesWork(state, { kind: 'worker.signed_on' }), false);
  assert.equal(touchesWork(signedOn(), { kind: 'checklist.ticked' }), false);
});

test('a line that is opened from a cause takes the balance away', () => {
  const state = update(atWork('balance'), { type: 'look-alike-opened', lineId: 'a', name: 'Person of a' });
  assert.equal(state.dayWork, null);
});
