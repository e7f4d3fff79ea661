import assert from 'node:assert/strict';
import { test } from 'node:test';

import { endsWarning, isCovered, isWarned } from '../../frontend/logic/lock.js';
import { firstState, isSeen, update } from '../../frontend/logic/whole_page.js';
import { DAY, opened, SIGNATURE, verdict } from './making.mjs';

const MINUTE = 60_000;
const tick = (at) => ({ type: 'clock-ticked', at });
const touch = (at) => ({ type: 'worker-active', at });
const drawn = { type: 'signature-drawn', strokes: [[[0, 0, 0], [9000, 9000, 90]]] };
/** A table of a place that covers after so many minutes, after `events`. */
const table = (minutes, ...events) =>
  [
    { type: 'day-came', day: { ...DAY, policy: { ...DAY.policy, idle_lock_minutes: minutes } } },
    ...events,
  ].reduce(update, firstState({ language: 'en', station: '', at: 0 }));
/** A clock that ticks every second, as the laptop is awake. */
const seconds = (from, to) => Array.from({ length: (to - from) / 1000 }, (_, n) => tick(from + (n + 1) * 1000));

test('a page that nobody touches warns at least 20 seconds before it is covered', () => {
  for (const minutes of [1, 5, 120]) {
    const limit = minutes * MINUTE;
    assert.equal(table(minutes, tick(limit - 31_000)).lock, null);
    const warned = table(minutes, tick(limit - 25_000));
    assert.equal(isWarned(warned), true);
    assert.deepEqual([warned.said.key, warned.said.urgent], ['lock.warning', true]);
    assert.equal(isCovered(update(warned, tick(limit - 1000))), false);
    assert.equal(isCovered(update(warned, tick(limit))), true);
  }
});

test('a key or a touch ends the warning and begins the time anew', () => {
  const awake = table(1, tick(40_000), touch(41_000));
  assert.equal(awake.lock, null);
  assert.equal(update(awake, tick(70_000)).lock, null);
  assert.equal(isWarned(update(awake, tick(75_000))), true);
});

test('the Enter that ends a warning presses nothing, and a letter is typed', () => {
  const warned = table(1, tick(40_000));
  assert.deepEqual(['Enter', ' ', 'Escape', 'a', 'Tab'].map((key) => endsWarning(warned, key)), [true, true, true, false, false]);
  assert.equal(endsWarning(table(1, tick(10_000)), 'Enter'), false);
});

test('0 minutes, and a page on which nobody is signed on, are never covered', () => {
  assert.equal(table(0, tick(999 * MINUTE)).lock, null);
  assert.equal(table(1, { type: 'signed-off' }, tick(999 * MINUTE)).lock, null);
});

test('the warning is told once, and the passing of time and keys repaint nothing', () => {
  const warned = table(5, tick(4.6 * MINUTE));
  assert.equal(isSeen(warned, update(warned, tick(4.7 * MINUTE))), false);
  const quiet = table(5);
  assert.equal(isSeen(quiet, update(quiet, touch(5000))), false);
});

test('what was typed and drawn is beneath the cover and there again after the PIN', () => {
  const before = table(1, ...opened(verdict('sign')), drawn);
  const covered = update(before, tick(MINUTE));
  assert.equal(isCovered(covered), true);
  assert.equal(covered.said.key, null);
  const after = update(covered, { type: 'uncovered' });
  assert.deepEqual([after.lock, after.sheet.strokes, after.focus.on], [null, drawn.strokes, before.focus.on]);
});

test('a birth date that was shown is covered again', () => {
  const shown = table(1, ...opened(verdict('sign')), { type: 'cover-turned' });
  assert.equal(shown.sheet.isUncovered, true);
  assert.equal(update(shown, tick(MINUTE)).sheet.isUncovered, false);
});

test('a wrong PIN is told on the cover, which stays', () => {
  const covered = table(1, tick(MINUTE), { type: 'uncover-asked', initials: 'MK', pin: '1' });
  assert.equal(covered.lock.isBusy, true);
  const refused = update(covered, { type: 'uncover-refused', problem: { code: 'wrong-pin', tries_left: 3 } });
  assert.deepEqual([isCovered(refused), refused.lock.isBusy, refused.lock.problem.code], [true, false, 'wrong-pin']);
});

test('whoever takes over finds an empty table and is told what was drawn and not recorded', () => {
  const taken = table(1, ...opened(verdict('sign')), drawn, tick(MINUTE), { type: 'taken-over' });
  assert.deepEqual([taken.view, taken.sheet, taken.lock, taken.day.worker], ['sign-on', null, null, null]);
  assert.deepEqual([taken.notice.key, taken.notice.facts.name], ['signing.left', 'Castellane, Orsolya']);
});

test('a record that is on its way goes on beneath the cover', () => {
  const covered = table(1, ...opened(verdict('sign')), SIGNATURE, tick(MINUTE));
  assert.equal(isCovered(covered), true);
  const receipt = { seq: 9, local_time: '09:14', station: 'Table 1', initials: 'MK' };
  const done = update(covered, { type: 'write-accepted', key: 'k1', receipt });
  assert.deepEqual([isCovered(done), done.confirmation.kind, done.pending], [true, 'signed', null]);
});

test('a page that was covered comes back covered when it is loaded anew', () => {
  const start = firstState({ language: 'en', station: '', at: 0, wasCovered: true });
  assert.equal(isCovered(update(start, { type: 'day-came', day: DAY })), true);
  const nobody = update(start, { type: 'day-came', day: { ...DAY, worker: null } });
  assert.equal(isCovered(nobody), false);
  const signedOn = [{ type: 'signed-on' }, { type: 'day-came', day: DAY }].reduce(update, nobody);
  assert.equal(isCovered(signedOn), false);
});

test('a laptop that ticks all the time is covered in the same second', () => {
  const states = seconds(0, MINUTE).reduce((all, event) => [...all, update(all.at(-1), event)], [table(1)]);
  const stages = states.map(({ lock }) => lock?.stage ?? 'awake');
  assert.deepEqual([stages[29], stages[30], stages[59], stages[60]], ['awake', 'warned', 'warned', 'covered']);
});
