import assert from 'node:assert/strict';
import { test } from 'node:test';

import { update } from '../../frontend/logic/whole_page.js';
import { argumentOf } from '../../frontend/logic/past_calls.js';
import { after } from './making.mjs';

const screen = (...events) => after({ type: 'late-opened', at: 0 }, { type: 'late-went', screen: 'calls', at: 1 }, ...events);

test('the newest call comes first, whatever the order in which the record has them', () => {
  const { late } = screen({ type: 'calls-came', calls: [{ seq: 4 }, { seq: 9 }] });
  assert.deepEqual(late.calls.map(({ seq }) => seq), [9, 4]);
});

test('calls that cannot be had are told as a problem, and those shown before stay', () => {
  const state = screen({ type: 'calls-came', calls: [{ seq: 4 }] }, { type: 'calls-came', problem: { code: 'unreachable' } });
  assert.equal(state.late.problem.code, 'unreachable');
  assert.equal(state.late.calls.length, 1);
});

test('an answer that comes after the screen was left changes nothing', () => {
  const left = update(screen(), { type: 'late-left' });
  assert.equal(update(left, { type: 'calls-came', calls: [] }), left);
});

test('a corrected detail is told apart from what it became, even with = in it', () => {
  assert.deepEqual(argumentOf({ what: 'correct_detail', argument: 'last_name=O=Malley' }), { detail: 'last_name', value: 'O=Malley' });
  assert.deepEqual(argumentOf({ what: 'withdraw_mark', argument: 'voted_early' }), { detail: null, value: 'voted_early' });
});
