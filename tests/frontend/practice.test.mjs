import assert from 'node:assert/strict';
import { test } from 'node:test';

import { practicePress, roundOf } from '../../frontend/logic/practice_part.js';
import { shownToVoter } from '../../frontend/logic/voter_window.js';
import { update } from '../../frontend/logic/whole_page.js';
import { DAY, signedOn } from './making.mjs';

const NOW = { code: 'plain', number: 1, title: { en: '', es: '' }, says: { en: '', es: '' } };
const LAST = { code: 'plain', number: 1, result: 'wrong', wrong_actions: 1, faults: [], title: {}, why: {} };
const round = (changes = {}) => ({ of: 16, now: null, last: null, done: [], scores: [], ...changes });

const asked = () => update(signedOn({ practice: true }), { type: 'practice-asked', worker: 'w1' });
const withRound = (changes, does = null) =>
  update(asked(), { type: 'practice-came', worker: 'w1', round: round(changes), does });

test('the one key brings the next person, and then sees them off', () => {
  assert.equal(practicePress(asked()), null);
  assert.deepEqual(practicePress(withRound()), { type: 'practice-begin-pressed' });
  assert.deepEqual(practicePress(withRound({ now: NOW })), { type: 'practice-end-pressed' });
  assert.equal(practicePress(withRound({ of: 1, done: [LAST], last: LAST })), null);
});

test('while an answer is on its way the key does nothing', () => {
  const pressed = update(withRound({ now: NOW }), { type: 'practice-end-pressed' });
  assert.equal(practicePress(pressed), null);
});

test('a person who comes leaves the focus in the box, and one who has left brings it to the result', () => {
  const comes = withRound({ now: NOW }, 'begin');
  assert.equal(comes.focus.on, 'box');
  const gone = withRound({ done: [LAST], last: LAST }, 'end');
  assert.equal(gone.focus.on, 'practice-result');
  assert.equal(gone.said.key, 'exercise.wrong');
});

test('another worker sees nothing of a round that is not theirs', () => {
  const other = update(withRound({ now: NOW }), { type: 'day-came', day: { ...DAY, practice: true, worker: { ...DAY.worker, worker_id: 'w2' } } });
  assert.equal(roundOf(other), null);
  assert.equal(practicePress(other), null);
  const late = update(update(other, { type: 'practice-asked', worker: 'w2' }), { type: 'practice-came', worker: 'w1', round: round({ now: NOW }), does: 'begin' });
  assert.equal(roundOf(late), null);
});

test('what could not be asked is told, and the key works again', () => {
  const refused = update(update(withRound(), { type: 'practice-begin-pressed' }), { type: 'practice-refused', worker: 'w1', problem: { code: 'unreachable' } });
  assert.deepEqual(refused.practice.problem, { code: 'unreachable' });
  assert.deepEqual(practicePress(refused), { type: 'practice-begin-pressed' });
});

test('the window of the voter is told that it is practice, and a real one is not', () => {
  const say = Object.assign((key) => key, { has: () => true });
  const practised = shownToVoter(signedOn({ practice: true }), { en: say, es: say });
  assert.deepEqual(practised.practice, [
    { language: 'en', words: 'voter.practice' },
    { language: 'es', words: 'voter.practice' },
  ]);
  assert.equal(shownToVoter(signedOn(), { en: say }).practice, null);
});
