import assert from 'node:assert/strict';
import { test } from 'node:test';

import { isSameSubject } from '../../frontend/logic/page.js';
import { onDemand } from '../../frontend/on_demand.js';
import { after, opened, signedOn, verdict } from './making.mjs';

const PARTS = {
  way: { opensWith: ['lost-opened', 'line-way-opened'], needs: [] },
  lead: { opensWith: ['late-opened'], needs: ['way'] },
};
const LOST = { type: 'lost-opened', at: 1 };
const FROM_LINE = { type: 'line-way-opened', at: 2 };
const LISTS = { type: 'late-opened', at: 3 };

/** A page whose parts come, or fail, when the test says so. */
function page() {
  const here = new Set();
  const made = { asked: [], sent: [], missing: [], fetches: {} };
  made.parts = onDemand(PARTS, {
    isHere: (name) => here.has(name),
    bring: (name) => {
      made.asked.push(name);
      return new Promise((done, failed) => {
        made.fetches[name] = { done, failed };
      }).then(() => here.add(name));
    },
    sendOn: (event) => made.sent.push(event.type),
    tellMissing: (error) => made.missing.push(error.message),
  });
  return made;
}

const settled = () => new Promise((done) => setImmediate(done));
async function come({ fetches }, name) {
  fetches[name].done();
  await settled();
}

test('what belongs to no part that is missing waits for nothing', async () => {
  const { parts, asked } = page();
  assert.equal(parts.holds({ type: 'typed', text: 'q' }), false);
  assert.deepEqual(asked, []);
});

test('events wait for their part, which is fetched once, and go on in order, each once', async () => {
  const made = page();
  assert.equal(made.parts.holds(LOST), true);
  assert.equal(made.parts.holds(FROM_LINE), true);
  assert.deepEqual([made.asked, made.sent], [['way'], []]);
  await come(made, 'way');
  assert.deepEqual(made.sent, ['lost-opened', 'line-way-opened']);
  assert.equal(made.parts.holds(LOST), false);
  await settled();
  assert.deepEqual([made.asked, made.sent.length], [['way'], 2]);
});

test('a part that stands on another one comes after it, and neither is fetched twice', async () => {
  const made = page();
  made.parts.holds(LISTS);
  made.parts.holds(LOST);
  assert.deepEqual(made.asked, ['way']);
  await come(made, 'way');
  assert.deepEqual([made.asked, made.sent], [['way', 'lead'], []], 'the earlier press goes first');
  await come(made, 'lead');
  assert.deepEqual(made.sent, ['late-opened', 'lost-opened']);
});

test('a part that cannot be had is told once, whoever waited, and asked for again the next time', async () => {
  const made = page();
  made.parts.holds(LOST);
  made.parts.holds(FROM_LINE);
  made.fetches.way.failed(new TypeError('gone'));
  await settled();
  assert.deepEqual([made.missing, made.sent], [['gone'], []]);
  made.parts.holds(LOST);
  assert.deepEqual(made.asked, ['way', 'way']);
  await come(made, 'way');
  assert.deepEqual([made.missing, made.sent], [['gone'], ['lost-opened']]);
});

test('one part that cannot be had does not keep back what waits for another', async () => {
  const made = page();
  made.parts.holds(LISTS);
  made.parts.holds(LOST);
  await come(made, 'way');
  made.fetches.lead.failed(new TypeError('gone'));
  await settled();
  assert.deepEqual([made.missing, made.sent], [['gone'], ['lost-opened']]);
});

test('a press means the same only while the same person is in front of the same worker', () => {
  const before = after(...opened(verdict('sign')));
  const typed = after(...opened(verdict('sign')), { type: 'typed', text: 'next', at: 9000 });
  assert.equal(isSameSubject(before, after(...opened(verdict('sign')))), true);
  assert.equal(isSameSubject(before, typed), false);
  assert.equal(isSameSubject(before, after({ type: 'line-opened', lineId: 'b', name: '', at: 0 })), false);
  assert.equal(isSameSubject(signedOn(), signedOn({ worker: { worker_id: 'w2', role: 'worker' } })), false);
  assert.equal(isSameSubject(signedOn(), after({ type: 'signed-off' })), false);
  assert.equal(isSameSubject(signedOn(), after({ type: 'lost-opened', at: 5 })), false);
});
