import assert from 'node:assert/strict';
import { test } from 'node:test';

import { mustAsk } from '../../frontend/logic/seen_head.js';
import { after } from './making.mjs';

const head = (seq, hash = `hash ${seq}`, began = 'first') => ({ began, seq, hash });

test('a log that goes on from what was seen is believed while the server was never away', () => {
  assert.equal(mustAsk(head(7), head(7), true), false);
  assert.equal(mustAsk(head(7), head(9), true), false);
});

test('once the server was away it is asked, however far its log goes', () => {
  assert.equal(mustAsk(head(7), head(7), false), true);
  assert.equal(mustAsk(head(7), head(900), false), true);
});

test('a log that ends earlier, or otherwise, is asked about at once', () => {
  assert.equal(mustAsk(head(7), head(6), true), true);
  assert.equal(mustAsk(head(7), head(7, 'another'), true), true);
});

test('nothing is asked where nothing was seen, or another record was', () => {
  assert.equal(mustAsk(null, head(7), false), false);
  assert.equal(mustAsk(head(7, 'x', 'the day before'), head(2), false), false);
});

test('what was found stands on the page until the record is whole again', () => {
  const found = { type: 'older-record-found', seq: 7 };
  assert.deepEqual(after(found).olderRecord, { seq: 7 });
  assert.equal(after(found, { type: 'record-is-whole' }).olderRecord, null);
});
