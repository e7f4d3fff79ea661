import assert from 'node:assert/strict';
import { test } from 'node:test';

import { touchesResults, touchesSheet } from '../../frontend/logic/day.js';
import { turnsNow, turnWarnings } from '../../frontend/logic/turns.js';
import { signOnLack } from '../../frontend/logic/sign_on.js';
import { firstState, update } from '../../frontend/logic/whole_page.js';
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
  const { sheet } = after(...opened(verdict('sign')), event);
  assert.deepEqual(sheet.live, { kind: 'signature.recorded', station: 'Table 2', time: '09:14', isHalt: true });
  // Nobody signs twice in the moment before the new verdict is here.
  assert.equal(sheet.isHalted, true);
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

test('a turn is warned of on another date, before the polls open, and before they close', () => {
  const warned = (turn, local_time, is_election_date = true) =>
    turnWarnings({ ...DAY, election: { ...DAY.election, opens: '07:00:00', closes: '20:00:00' }, local_time, is_election_date }, turn);
  assert.deepEqual(warned('open', '06:59'), ['before-opens']);
  assert.deepEqual(warned('open', '07:00'), []);
  assert.deepEqual(warned('close', '19:59'), ['before-closes']);
  assert.deepEqual(warned('close', '20:00'), []);
  assert.deepEqual(warned('cut-off', '05:00'), ['before-closes']);
  assert.deepEqual(warned('cut-off', '20:01'), []);
  assert.deepEqual(warned('open', '12:00', false), ['other-day']);
  assert.deepEqual(warned('close', '12:00', false), ['other-day', 'before-closes']);
});

test('what is missing at sign-on is named, first things first', () => {
  const full = { initials: 'MK', pin: '240713', station: 'Table 1' };
  assert.equal(signOnLack(full), null);
  assert.equal(signOnLack({ ...full, initials: ' ', pin: '' }).code, 'initials-missing');
  assert.deepEqual(signOnLack({ ...full, pin: '' }), { code: 'pin-missing', field: 'pin' });
  assert.equal(signOnLack({ ...full, station: '' }).code, 'station-missing');
});

test('a station that looks like a PIN is refused: it would be written beside every signature', () => {
  const station = (name) => signOnLack({ initials: 'MK', pin: '240713', station: name })?.code;
  assert.equal(station('240713'), 'station-like-pin');
  assert.equal(station(' 24071399 '), 'station-like-pin');
  assert.equal(station('12345'), undefined);
  assert.equal(station('Table 240713'), undefined);
});

test('what is missing at sign-on gets the focus and is told', () => {
  const start = firstState({ language: 'en', station: '', at: 0 });
  const state = [
    { type: 'day-came', day: { ...DAY, worker: null } },
    { type: 'sign-on-lacking', lack: { code: 'station-like-pin', field: 'station' } },
  ].reduce(update, start);
  assert.equal(state.signOn.problem.code, 'station-like-pin');
  assert.equal(state.focus.on, 'station');
});

test('signing off from an open line signs nothing', () => {
  const before = after(...opened(verdict('sign')), { type: 'signature-drawn', strokes: [[[1, 2, 0]]] });
  const asked = update(before, { type: 'sign-off-asked' });
  assert.equal(asked.pending, null);
  const off = update(asked, { type: 'signed-off' });
  assert.deepEqual([off.sheet, off.pending, off.confirmation, off.notice], [null, null, null, null]);
});

const copyOf = (state, why = null) => [{ which: 'carbon', state, since: '2027-03-02T12:00:00Z', why }];
const dayWith = (copies) => ({ type: 'day-came', day: { ...DAY, copies } });

test('that the second copy fails is said once, and that it is back is told in the strip', () => {
  const before = after(dayWith(copyOf('in-step')));
  const failing = update(before, dayWith(copyOf('failing', 'gone')));
  assert.deepEqual([failing.said.key, failing.said.urgent], ['strip.copy-failing', true]);
  assert.equal(update(failing, dayWith(copyOf('failing', 'full'))).said.count, failing.said.count);
  assert.equal(update(failing, dayWith(copyOf('catching-up', 'gone'))).said.count, failing.said.count);
  const back = update(failing, dayWith(copyOf('in-step')));
  assert.deepEqual([back.said.key, back.notice.key], ['strip.copy-back', 'strip.copy-back']);
});

test('that it is back is not told any more once it fails again', () => {
  const stick = [copyOf('in-step'), copyOf('failing', 'gone'), copyOf('in-step')].map(dayWith);
  assert.equal(after(...stick).notice.key, 'strip.copy-back');
  assert.equal(after(...stick, dayWith(copyOf('failing', 'gone'))).notice, null);
  // What else is told stays.
  const told = after(...stick.slice(0, 1), { type: 'part-missing' }, stick[1]);
  assert.equal(told.notice.key, 'strip.no-part');
});

test('a copy that holds more is said as what it is, also where it failed before', () => {
  const failing = after(dayWith(copyOf('in-step')), dayWith(copyOf('failing', 'gone')));
  const more = update(failing, dayWith(copyOf('failing', 'holds-more')));
  assert.deepEqual([more.said.key, more.said.urgent, more.said.count], ['strip.copy-holds-more', true, failing.said.count + 1]);
  const both = [...copyOf('failing', 'gone'), { ...copyOf('failing', 'holds-more')[0], which: 'standby' }];
  assert.equal(after(dayWith([]), dayWith(both)).said.key, 'strip.copy-holds-more');
});

test('a day without a copy says nothing of one', () => {
  const state = after(dayWith([]), dayWith(undefined));
  assert.ok(state.said.key !== 'strip.copy-failing');
  assert.equal(state.notice, null);
});
