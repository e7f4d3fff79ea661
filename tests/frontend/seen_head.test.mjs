import assert from 'node:assert/strict';
import { test } from 'node:test';

import { seenHeadActs } from '../../frontend/acts/seen_head.js';
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

/** A page whose server answers with `answers` what is asked of it, null where it goes away first. */
function desk(kept, answers) {
  const made = { kept, sent: [], asked: [], state: { day: null, olderRecord: null } };
  return Object.assign(made, {
    seenHead: () => made.kept,
    keepSeenHead: (head) => (made.kept = head),
    send: (event) => made.sent.push(event.type),
    post: (_path, seen) => made.asked.push(seen.seq),
    heard: async () => answers.shift(),
    isGood: () => true,
  });
}

async function shows(made, acts, head) {
  made.state.day = { head };
  await acts.effects['day-came']();
}

test('what was shown while the server was asked is asked about when it is back', async () => {
  const made = desk(head(7), [null, { body: { is_there: true } }, { body: { is_there: false } }]);
  const acts = seenHeadActs(made);
  await shows(made, acts, head(8));
  acts.effects['server-failed']();
  // An older record in its place has what was remembered, but not what was shown.
  await shows(made, acts, head(7));
  await shows(made, acts, head(7));
  assert.equal(made.asked.join(), '7,7,8');
  assert.equal(made.sent.join(), 'older-record-found');
});

test('what was shown is remembered once the server has said that all is there', async () => {
  const made = desk(head(7), [{ body: { is_there: true } }]);
  const acts = seenHeadActs(made);
  await shows(made, acts, head(8));
  await shows(made, acts, head(9));
  assert.equal(made.asked.join(), '7');
  assert.equal(made.kept.seq, 9);
});
