import assert from 'node:assert/strict';
import { test } from 'node:test';

import { areStrokes, isOfThisTurn, shownToVoter } from '../../frontend/logic/voter_window.js';
import { update } from '../../frontend/logic/whole_page.js';
import { after, lineAnswer, opened, reason, step, verdict } from './making.mjs';

const saying = (language) => Object.assign((key) => `${language} ${key}`, { has: () => true, language });
const SAYINGS = { en: saying('en'), es: saying('es') };
const SCREEN = [{ type: 'voter-screen-wanted' }, { type: 'voter-screen-opened' }, { type: 'voter-turned', turn: 7 }];
const open = (given, ...events) => after(...opened(given), ...SCREEN, ...events);
const shown = (state) => shownToVoter(state, SAYINGS);

test('between voters it shows nobody, in both languages', () => {
  const state = after(...SCREEN);
  assert.equal(shown(state).what, 'nobody');
  assert.deepEqual(shown(state).waiting.map(({ language }) => language), ['en', 'es']);
});

test('a line that may be signed is shown with its name and address and nothing else of the person', () => {
  const line = shown(open(verdict('sign')));
  assert.equal(line.what, 'line');
  assert.deepEqual([line.name, line.address, line.turn], ['Castellane, Orsolya', '12 Wharf Street, Ternmouth 00417', 7]);
  assert.doesNotMatch(JSON.stringify(line), /1987|voter_number|maiden/);
});

test('a protected address is not shown', () => {
  const state = open(verdict('sign'));
  const line = { ...state.sheet.line, address_protected: true };
  assert.equal(shown({ ...state, sheet: { ...state.sheet, line } }).address, '');
});

test('before people who look alike are told apart, and after a stop, nobody is shown', () => {
  assert.equal(shown(open(verdict('first', { steps: [step('tell-apart')] }))).what, 'nobody');
  const stopped = shown(open(verdict('stop', { reasons: [reason('already-signed')] })));
  assert.equal(stopped.what, 'nobody');
  assert.doesNotMatch(JSON.stringify(stopped), /Castellane|Wharf/);
});

test('a covered page, a signed-off one and a layer over the line show nobody', () => {
  const state = open(verdict('sign'));
  assert.equal(shown({ ...state, lock: { stage: 'covered' } }).what, 'nobody');
  assert.equal(shown({ ...state, way: {} }).what, 'nobody');
  assert.equal(shown(update(state, { type: 'signed-off' })).what, 'nobody');
});

test('the voter has a language of their own, the next voter has not', () => {
  const state = open(verdict('sign'), { type: 'voter-spoke', language: 'es' });
  assert.deepEqual([state.language, shown(state).language, shown(state).affirmation], ['en', 'es', 'es voter.affirmation']);
  assert.equal(shown(update(state, { type: 'voter-turned', turn: 8 })).language, 'en');
  assert.equal(shown(update(state, { type: 'voter-spoke', language: 'xx' })).language, 'es');
});

test('what the package has the voter sign is shown as it stands', () => {
  const state = open(verdict('sign'), { type: 'voter-spoke', language: 'es' });
  const policy = { ...state.day.policy, voter_affirmation: 'I solemnly affirm it.' };
  assert.equal(shown({ ...state, day: { ...state.day, policy } }).affirmation, 'I solemnly affirm it.');
});

test('what comes late from the voter before, or while a record is on its way, is not taken', () => {
  const state = open(verdict('sign'));
  assert.equal(isOfThisTurn(state, { turn: 7 }), true);
  assert.equal(isOfThisTurn(state, { turn: 6 }), false);
  assert.equal(isOfThisTurn({ ...state, pending: {} }, { turn: 7 }), false);
  assert.equal(isOfThisTurn(after(...SCREEN), { turn: 7 }), false);
});

test('only what a pad of ours can have drawn is taken', () => {
  assert.equal(areStrokes([[[1, 2, 3], [10, 20, 30]]]), true);
  assert.equal(areStrokes([]), true);
  for (const bad of [null, 'x', {}, [[]], [[[1, 2]]], [[[1, 2, -3]]], [[[1.5, 2, 3]]], [[[10001, 2, 3]]], [[['1', 2, 3]]]]) {
    assert.equal(areStrokes(bad), false, JSON.stringify(bad));
  }
  assert.equal(areStrokes(Array.from({ length: 201 }, () => [[1, 2, 3]])), false);
});

test('being done is over once something is drawn anew', () => {
  const done = open(verdict('sign'), { type: 'signature-drawn', strokes: [[[1, 2, 3]]] }, { type: 'voter-done' });
  assert.deepEqual([shown(done).isDone, done.said.key], [true, 'voter.said-done']);
  assert.equal(shown(update(done, { type: 'voter-drew', count: 2 })).isDone, false);
});
