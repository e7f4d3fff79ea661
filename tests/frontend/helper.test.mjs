import assert from 'node:assert/strict';
import { test } from 'node:test';

import { helperBody, helperLacks } from '../../frontend/logic/helper.js';
import { update } from '../../frontend/logic/whole_page.js';
import { activeStep, changeOf, maySign, outcomeNow } from '../../frontend/logic/sheet.js';
import { after, lineAnswer, opened, RECEIPT, step, verdict } from './making.mjs';

const wanted = { type: 'helper-wanted', at: 3000 };
const noted = (field, value) => ({ type: 'helper-noted', field, value });
const HELPER = { name: 'Wilma Gant', is: 'other', reason: '', isPrinted: true, hasStatement: false, strokes: [] };
const withY = (given) => {
  const answer = lineAnswer(given);
  return [opened(given)[0], { ...opened(given)[1], answer: { ...answer, line: { ...answer.line, assistance: true } } }];
};

test('whether the helper is the employer or union agent is asked each time', () => {
  assert.deepEqual(helperLacks({ ...HELPER, is: null }), { is: 'helper_is' });
  assert.deepEqual(helperLacks({ ...HELPER, is: 'employer_or_union' }), { is: 'helper-not-allowed' });
  assert.deepEqual(helperLacks(HELPER), {});
});

test('without a Y on the line the reason is asked as well', () => {
  assert.deepEqual(helperLacks({ ...HELPER, isPrinted: false }), { reason: 'helper_reason' });
  assert.deepEqual(helperLacks({ ...HELPER, isPrinted: false, reason: 'cannot read' }), {});
  assert.equal(after(...opened(verdict('sign')), wanted).sheet.helper.isPrinted, false);
  assert.equal(after(...withY(verdict('first', { steps: [step('assistance')] })), wanted).sheet.helper.isPrinted, true);
});

test('what is missing of the helper is told beside its field, which gets the focus', () => {
  const state = after(...opened(verdict('sign')), wanted, { type: 'helper-lacking', problems: { is: 'helper_is' } });
  assert.equal(state.focus.on, 'helper-is');
  assert.equal(update(state, noted('is', 'other')).sheet.helper.problems.is, undefined);
});

test('nobody signs while a helper is being written down, and a reload keeps what was typed', () => {
  const state = after(...opened(verdict('sign')), wanted, noted('name', 'Wilma Gant'));
  assert.equal(maySign(state.sheet), false);
  assert.equal(outcomeNow(state.sheet), 'first');
  const reloaded = update(state, { type: 'line-came', lineId: 'a', answer: lineAnswer(verdict('sign')), at: 6000 });
  assert.equal(reloaded.sheet.helper.name, 'Wilma Gant');
  assert.equal(maySign(update(state, { type: 'helper-dropped', at: 7000 }).sheet), true);
});

test('what is sent of a helper is trimmed', () => {
  assert.deepEqual(helperBody({ ...HELPER, name: ' Wilma Gant ', hasStatement: true }), {
    wanted: true, helper_name: 'Wilma Gant', helper_is: 'other', reason: '', statement_of_support: true,
  });
});

test('a flag is shown on the line, and read before anything else is pressed', () => {
  const write = { key: 'k1', what: 'assistance', path: '/x', body: {}, lineId: 'a', name: '', searchText: '' };
  const recorded = (flags) =>
    after(...opened(verdict('sign')), wanted, { type: 'write-started', write }, { type: 'write-accepted', key: 'k1', receipt: { ...RECEIPT, flags } });
  const flagged = recorded([{ code: 'helper-over-limit', facts: { helped: 6, limit: 5 } }]);
  assert.deepEqual([flagged.sheet.flags.length, flagged.sheet.helper, flagged.focus.on], [1, null, 'verdict']);
  assert.equal(recorded([]).focus.on, 'primary');
});

test('a move may be told on any line, and taken back, without an answer', () => {
  const told = after(...opened(verdict('sign')), { type: 'move-told', at: 3000 });
  assert.equal(activeStep(told.sheet).code, 'ask-moved');
  assert.equal(maySign(told.sheet), false);
  assert.equal(maySign(update(told, { type: 'move-untold', at: 4000 }).sheet), true);
});

test('whoever has moved inside the county affirms the new address anew', () => {
  assert.deepEqual(changeOf({ said: 'moved', value: 'within' }), { moved: 'within', address_affirmed: null });
  assert.deepEqual(changeOf({ said: 'moved', value: 'no' }), { moved: 'no' });
  assert.deepEqual(changeOf({ said: 'identification', value: 'shown' }), { identification: 'shown' });
});

test('whoever has signed may still need a helper, and the verdict stays what it is', () => {
  const stopped = verdict('stop', { reasons: [{ code: 'already-signed', facts: {} }] });
  const state = after(...opened(stopped), wanted, noted('name', 'Wilma Gant'));
  assert.equal(outcomeNow(state.sheet), 'stop');
  const reloaded = update(state, { type: 'line-came', lineId: 'a', answer: lineAnswer(stopped), at: 6000 });
  assert.equal(reloaded.sheet.helper.name, 'Wilma Gant');
});
