import assert from 'node:assert/strict';
import { test } from 'node:test';

import { freshGuard, keyPressed, QUIET_MS, sheetChanged } from '../../frontend/logic/enter_guard.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { after, opened, SIGNATURE, step, verdict } from './making.mjs';

const key = (at, repeat = false) => ({ at, repeat });
const refuses = (guard, at, repeat) => keyPressed(guard, key(at, repeat)).isRefused;

test('Enter within 300 ms of the sheet opening is refused, and counts from then on', () => {
  const guard = freshGuard(1000);
  assert.equal(refuses(guard, 1000 + QUIET_MS - 1), true);
  assert.equal(refuses(guard, 1000 + QUIET_MS), false);
});

test('Enter within 300 ms of another key is refused: a scanner typed it', () => {
  const guard = keyPressed(freshGuard(0), key(5000));
  assert.equal(refuses(guard, 5000 + QUIET_MS - 1), true);
  assert.equal(refuses(guard, 5000 + QUIET_MS), false);
});

test('a key that repeats is refused however long it is held', () => {
  assert.equal(refuses(freshGuard(0), 9000, true), true);
});

test('hammering Enter never gets through', () => {
  let guard = freshGuard(0);
  for (let at = 100; at < 5000; at += QUIET_MS - 50) {
    guard = keyPressed(guard, key(at));
    assert.equal(guard.isRefused, true, `at ${at}`);
  }
});

test('the quiet time begins anew when the sheet changes under the key', () => {
  assert.equal(refuses(sheetChanged(freshGuard(0), 5000), 5100), true);
});

test('a double click on a row does not press what appears beneath it', () => {
  const state = after(...opened(verdict('sign'), 1000));
  assert.equal(isUnmeant(state, { type: 'sign-pressed', at: 1200 }), true);
  assert.equal(isUnmeant(state, { type: 'sign-pressed', at: 1300 }), false);
});

test('a double click on one answer does not answer the next question', () => {
  const first = after(
    ...opened(verdict('first', { steps: [step('tell-apart'), step('identification')] }), 1000),
  );
  const next = update(first, {
    type: 'verdict-came',
    lineId: 'a',
    evidence: { ...first.sheet.evidence, birth_date: '3/4/1987' },
    verdict: verdict('first', { steps: [step('identification')] }),
    at: 4000,
  });
  assert.equal(isUnmeant(next, { type: 'answered', at: 4100 }), true);
  assert.equal(isUnmeant(next, { type: 'answered', at: 4400 }), false);
});

test('nothing else acts on a line while a write is on its way', () => {
  const state = after(...opened(verdict('sign'), 1000), SIGNATURE);
  assert.equal(isUnmeant(state, { type: 'sign-pressed', at: 9000 }), true);
});

test('nothing acts on a line when no sheet is open', () => {
  assert.equal(isUnmeant(after(), { type: 'sign-pressed', at: 9000 }), true);
});
