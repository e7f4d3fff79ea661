import assert from 'node:assert/strict';
import { test } from 'node:test';

import { isSeen, update } from '../../frontend/logic/whole_page.js';
import { after, opened, verdict } from './making.mjs';

const answered = (at) => ({ type: 'server-answered', at });
const failed = (askedAt) => ({ type: 'server-failed', askedAt });
/** A clock that ticks four times a second from `from` to `to`. */
const ticks = (from, to) =>
  Array.from({ length: (to - from) / 250 + 1 }, (_, n) => ({ type: 'clock-ticked', at: from + n * 250 }));
const isReachable = (...events) => after(...events).connection.isReachable;

test('a silent server is told to be gone within two seconds', () => {
  assert.equal(isReachable(...ticks(0, 1000), answered(1000), ...ticks(1250, 3000)), false);
});

test('a server that answers every second is not called gone', () => {
  const second = (at) => [...ticks(at, at + 750), answered(at + 900)];
  assert.equal(isReachable(...second(0), ...second(1000), ...second(2000)), true);
});

test('a refused connection is told at once, and an answer ends it', () => {
  assert.equal(isReachable(answered(1000), failed(1100)), false);
  assert.equal(isReachable(answered(1000), failed(1100), answered(1500)), true);
});

test('a question that was lost before the newest answer says nothing about now', () => {
  assert.equal(isReachable(answered(5000), failed(4000)), true);
});

test('waking from sleep is not taken for a silent server', () => {
  assert.equal(isReachable(answered(1000), ...ticks(1000, 1250), ...ticks(900_000, 900_250)), true);
});

test('typed text and a half-made signature survive a server that is gone', () => {
  const before = after({ type: 'typed', text: 'cas', at: 1 }, ...opened(verdict('sign')), {
    type: 'signature-drawn',
    strokes: [[[1, 2, 0]]],
  });
  const gone = update(before, failed(9000));
  assert.equal(gone.search, before.search);
  assert.equal(gone.sheet, before.sheet);
});

test('the passing of time alone is nothing to be painted', () => {
  const before = after(answered(1000));
  assert.equal(isSeen(before, update(before, { type: 'clock-ticked', at: 1250 })), false);
  assert.equal(isSeen(before, update(before, failed(1500))), true);
});
