import assert from 'node:assert/strict';
import { test } from 'node:test';

import { openingHere } from '../../frontend/logic/attention_list.js';
import { copyFails, isStandby, leadsHere } from '../../frontend/logic/day.js';
import { workScreens } from '../../frontend/logic/day_work.js';
import { dialogLack } from '../../frontend/logic/dialog.js';
import { mayBring, mayKey, mayLook, mayTakeCalls } from '../../frontend/logic/late_state.js';
import { hasTurned, holdsMore, isAnswering, isApart, mayBeDead, placeOnLine } from '../../frontend/logic/standby.js';
import { firstState, isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { DAY, opened, RECEIPT, SIGNATURE, signedOn, step, verdict } from './making.mjs';

const IN_STEP = { follows: 'https://192.0.2.14:8408', state: 'in-step', since: '14:05', why: '', seq: 12, head: '3f2a 91bc 77d0 e4a1' };
const APART = { ...IN_STEP, state: 'apart', since: '14:32', why: 'gone' };
const MORE = { ...APART, why: 'holds-more' };
const LEAD = { ...DAY.worker, role: 'lead' };
const came = (day) => ({ type: 'day-came', day: { ...DAY, ...day } });
const page = (day, ...events) => events.reduce(update, signedOn({ standby: IN_STEP, ...day }));
const lead = (day, ...events) => page({ worker: LEAD, ...day }, ...events);

const wanted = { type: 'take-over-wanted' };
const TAKE_OVER = {
  type: 'write-started',
  write: { key: 'k2', what: 'take-over', path: '/standby/take-over', body: { reason: 'fell', pin: '907351' }, lineId: null, name: '', searchText: '', dialogKind: 'take-over' },
};
const accepted = (isTold) => ({
  type: 'write-accepted',
  key: 'k2',
  receipt: { epoch: 1, seq: 13, head: 'aaaa bbbb cccc dddd', is_told: isTold },
});

test('a signature is refused before it is sent, in words, and nothing looks as if it was signed', () => {
  const state = page({}, ...opened(verdict('sign')), SIGNATURE);
  assert.equal(state.pending, null);
  assert.equal(state.confirmation, null);
  assert.deepEqual(state.sheet.problem, { code: 'read-only-standby', isRefusal: true });
  assert.equal(signedOnOnly(...opened(verdict('sign')), SIGNATURE).pending.key, 'k1');
});

const signedOnOnly = (...events) => events.reduce(update, signedOn());

test('whatever else is written is refused as well, where it was begun', () => {
  const write = { ...SIGNATURE.write, what: 'irregularity', lineId: null, dialogKind: 'irregularity' };
  const state = lead({}, { type: 'dialog-opened', kind: 'irregularity' }, { type: 'write-started', write });
  assert.deepEqual([state.pending, state.dialog.problem.code], [null, 'read-only-standby']);
});

test('lists are looked at; nobody brings, keys, takes calls or leads here', () => {
  const at = lead({});
  assert.deepEqual([mayLook, mayBring, mayKey, mayTakeCalls, leadsHere].map((may) => may(at)), [true, false, false, false, false]);
  const first = signedOn({ worker: LEAD });
  assert.deepEqual([mayLook, mayBring, mayKey, mayTakeCalls, leadsHere].map((may) => may(first)), [true, true, true, true, true]);
});

test('of the day the screens stay that are read, and none that is only there to be ticked', () => {
  assert.deepEqual(workScreens(lead({})), ['machines', 'seals', 'balance', 'papers']);
});

test('what waits at the other laptop is told, and opened only where something is to be read', () => {
  const at = (item) => openingHere(lead({}), { facts: {}, ...item }, 5)?.type ?? null;
  assert.equal(at({ kind: 'codes-locked' }), null);
  assert.equal(at({ kind: 'refused-at-the-door' }), null);
  assert.equal(at({ kind: 'paper-hours-open' }), null);
  assert.equal(at({ kind: 'line-contradicts', line_id: 'a' }), 'look-alike-opened');
  const first = openingHere(signedOn({ worker: LEAD }), { kind: 'codes-locked', facts: {} }, 5);
  assert.equal(first.type, 'dialog-opened');
});

test('a table of the same name at the other laptop is another table', () => {
  const entry = { kind: 'signature.recorded', line_id: 'a', station: DAY.station };
  const event = { type: 'entry-came', entry, time: '14:20', at: 2000 };
  assert.equal(page({}, ...opened(verdict('sign')), event).sheet.isHalted, true);
  assert.equal(signedOnOnly(...opened(verdict('sign')), event).sheet.isHalted, false);
});

test('where the sign key would be the focus lands on the sentence that says where to go', () => {
  const placed = (given) => {
    const { sheet, focus } = page({}, ...opened(given));
    assert.equal(placeOnLine(sheet), focus.on);
    return focus.on;
  };
  assert.equal(placed(verdict('sign')), 'primary');
  assert.equal(placed(verdict('first', { steps: [step('tell-apart')] })), 'step');
  assert.equal(placed(verdict('first', { steps: [step('identification')] })), 'question');
});

test('that it is out of step is said at once, that it is back in step in its turn', () => {
  const turned = { type: 'standby-turned' };
  const apart = page({}, came({ standby: APART }), turned);
  assert.deepEqual([apart.said.key, apart.said.facts.time, apart.said.urgent], ['standby.apart', '14:32', true]);
  const back = [came({ standby: IN_STEP }), turned].reduce(update, apart);
  assert.deepEqual([back.said.key, back.said.urgent], ['standby.in-step', false]);
});

test('that this laptop holds more is said at once, also where it was out of step before', () => {
  const turned = { type: 'standby-turned' };
  const apart = page({}, came({ standby: APART }), turned);
  const more = [came({ standby: MORE }), turned].reduce(update, apart);
  assert.deepEqual([more.said.key, more.said.urgent], ['standby.holds-more', true]);
  const at = (standby) => ({ day: { standby } });
  const turns = [[APART, MORE], [IN_STEP, MORE], [MORE, IN_STEP], [IN_STEP, APART], [MORE, APART], [MORE, MORE], [APART, { ...APART, why: 'refused' }]];
  assert.deepEqual(turns.map(([was, is]) => hasTurned(at(was), at(is))), [true, true, true, true, false, false, false]);
  assert.deepEqual([holdsMore(at(MORE)), holdsMore(at(APART)), holdsMore(at(null))], [true, false, false]);
});

test('only a laptop that does not answer may be dead', () => {
  const dead = (standby) => mayBeDead({ day: { standby } });
  assert.deepEqual([dead(APART), dead(IN_STEP), dead({ ...APART, why: 'refused' }), dead(null)], [true, false, false, false]);
  const answering = (standby) => isAnswering({ day: { standby } });
  const reasons = ['gone', 'failed', '', 'refused', 'does-not-fit', 'not-joined', 'holds-more'];
  assert.deepEqual(reasons.map((why) => answering({ ...APART, why })), [false, false, false, true, true, true, true]);
  assert.deepEqual([answering(IN_STEP), answering(null)], [true, false]);
  assert.deepEqual([isApart({ day: null }), isStandby({ day: null })], [false, false]);
});

test('a second laptop that never joined is not told as one that is missing', () => {
  const copies = (state) => ({ copies: [{ which: 'standby', state }] });
  assert.deepEqual(['waiting', 'in-step', 'behind'].map((state) => copyFails(copies(state))), [false, false, true]);
});

test('the way to take over has the focus where the other laptop may be dead, and nowhere else', () => {
  const offered = [{ type: 'now-opened' }, { type: 'take-over-offered' }];
  assert.equal(lead({ standby: APART }, ...offered).focus.on, 'take-over');
  assert.equal(lead({}, ...offered).focus.on, 'now');
  assert.equal(lead({ standby: null }, ...offered).focus.on, 'now');
});

test('whoever takes over says why and who they are, first things first', () => {
  const open = lead({}, wanted);
  assert.deepEqual([open.dialog.kind, open.dialog.pin, open.focus.on], ['take-over', '', 'dialog']);
  assert.deepEqual(dialogLack(open.dialog), { code: 'reason-missing', field: 'text' });
  const reasoned = update(open, { type: 'dialog-typed', text: 'fell off the table' });
  assert.deepEqual(dialogLack(reasoned.dialog), { code: 'pin-missing', field: 'pin' });
  const whole = update(reasoned, { type: 'dialog-typed', field: 'pin', text: '907351' });
  assert.equal(dialogLack(whole.dialog), null);
});

test('no worker is asked to take over, and no lead where nothing is followed', () => {
  assert.equal(page({}, wanted).dialog, null);
  assert.equal(lead({ standby: null }, wanted).dialog, null);
});

test('a refused PIN is typed anew; the reason stays', () => {
  const typed = [
    { type: 'dialog-typed', text: 'fell' },
    { type: 'dialog-typed', field: 'pin', text: '111111' },
  ];
  const no = { type: 'write-refused', key: 'k2', problem: { code: 'wrong-pin', tries_left: 4 } };
  const state = lead({}, wanted, ...typed, TAKE_OVER, no, { type: 'take-over-refused' });
  assert.deepEqual([state.dialog.pin, state.dialog.text, state.focus.on], ['', 'fell', 'dialog-pin']);
  assert.equal(state.dialog.problem.code, 'wrong-pin');
  const other = { type: 'write-refused', key: 'k2', problem: { code: 'storage-refused' } };
  assert.equal(lead({}, wanted, ...typed, TAKE_OVER, other, { type: 'take-over-refused' }).focus.on, 'problem');
});

test('taken over: nobody is signed on, nothing personal stays, and it is told until it is read', () => {
  const state = lead({}, { type: 'typed', text: 'castellane', at: 1 }, wanted, TAKE_OVER, accepted(false));
  assert.deepEqual([state.view, state.dialog, state.pending], ['sign-on', null, null]);
  assert.deepEqual(state.tookOver, { isStarting: true, isTold: false, seq: 13, head: 'aaaa bbbb cccc dddd' });
  assert.doesNotMatch(JSON.stringify(state), /castell|Kessel|907351/i);
  // The laptop is still the old self for a moment.
  const early = update(state, came({ standby: APART, worker: LEAD }));
  assert.equal(early.view, 'sign-on');
  const over = [came({ standby: null, worker: null }), { type: 'standby-over' }].reduce(update, early);
  assert.deepEqual([over.tookOver.isStarting, over.said.key, over.said.urgent, over.focus.on], [false, 'took-over.not-told', true, 'took-over']);
  assert.equal(update(over, { type: 'took-over-read' }).tookOver, null);
});

test('another page of that laptop says so too, and not that a session has ended', () => {
  const gone = page({}, { type: 'session-ended' }, came({ standby: null, worker: null }), { type: 'standby-over' });
  assert.deepEqual([gone.view, gone.signOn.problem, gone.tookOver.isTold], ['sign-on', null, null]);
  assert.equal(gone.said.key, 'took-over.title');
});

test('an answer that never came leaves the take-over to be told by the day itself', () => {
  const unsure = lead({}, wanted, TAKE_OVER, { type: 'write-unanswered', key: 'k2' }, { type: 'session-ended' });
  assert.equal(unsure.signOn.problem.code, 'session-ended-unsure');
  const over = [came({ standby: null, worker: null }), { type: 'standby-over' }].reduce(update, unsure);
  assert.deepEqual([over.signOn.problem, over.tookOver.isTold], [null, null]);
});

test('once it records, a signature goes out as at any laptop', () => {
  const state = page({}, came({ standby: null }), ...opened(verdict('sign')), SIGNATURE);
  assert.equal(state.pending.key, 'k1');
  assert.equal(update(state, { type: 'write-accepted', key: 'k1', receipt: RECEIPT }).confirmation.kind, 'signed');
  assert.equal(isUnmeant(state, { type: 'sign-pressed', at: 9000 }), true);
});

test('the command for a second laptop has the focus, and goes when it is over', () => {
  const first = [
    { type: 'stations-opened' },
    { type: 'follow-wanted' },
    { type: 'follow-came', command: 'tablebook follow https://192.0.2.14:8408 --code AAAA', minutes: 60, until: 5000 },
  ].reduce(update, signedOn({ worker: LEAD }));
  assert.deepEqual([first.stations.follow.minutes, first.stations.isBusy, first.focus.on], [60, false, 'follow']);
  assert.equal(update(first, { type: 'follow-gone' }).stations.follow, null);
  const off = update(first, { type: 'signed-off' });
  assert.doesNotMatch(JSON.stringify(off), /AAAA/);
});

test('a page that has never heard of a day follows nobody', () => {
  assert.equal(isStandby(firstState({ language: 'en', station: '', at: 0 })), false);
});
