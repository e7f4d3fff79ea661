import assert from 'node:assert/strict';
import { test } from 'node:test';

import { activeStep, answersToAskAgain, isToldApart, lettersOf, twinsOf } from '../../frontend/logic/sheet.js';
import { update } from '../../frontend/logic/page.js';
import { after, lineAnswer, opened, reason, step, verdict } from './making.mjs';

const STEPS = [step('tell-apart', { look_alikes: 1 }), step('identification')];
const drawn = { type: 'signature-drawn', strokes: [[[1, 2, 0]]] };
const came = (given, at = 5000) => ({ type: 'line-came', lineId: 'a', answer: lineAnswer(given), at });

test('one step is active at a time, in the order of the rules', () => {
  const state = after(...opened(verdict('first', { steps: STEPS })));
  assert.equal(activeStep(state.sheet).code, 'tell-apart');
});

test('the one next thing has the focus after every verdict', () => {
  assert.equal(after(...opened(verdict('sign'))).focus.on, 'primary');
  assert.equal(after(...opened(verdict('first', { steps: STEPS }))).focus.on, 'step');
  assert.equal(after(...opened(verdict('stop', { reasons: [reason('removed')] }))).focus.on, 'verdict');
});

test('a settled step is kept in sight as done', () => {
  const first = after(...opened(verdict('first', { steps: STEPS })));
  const next = update(first, {
    type: 'verdict-came',
    lineId: 'a',
    evidence: first.sheet.evidence,
    verdict: verdict('first', { steps: STEPS.slice(1) }),
    at: 3000,
  });
  assert.deepEqual(next.sheet.settled, ['tell-apart']);
});

test('an answer stands only once the rules have taken it', () => {
  const asked = after(...opened(verdict('first', { steps: STEPS })), {
    type: 'answered',
    said: 'birth_date',
    value: 'March',
    at: 3000,
  });
  const refused = update(asked, {
    type: 'check-refused',
    lineId: 'a',
    problem: { code: 'birth-date-unreadable' },
  });
  assert.equal(refused.sheet.evidence.birth_date, null);
  assert.equal(refused.sheet.isBusy, false);
  assert.equal(refused.focus.on, 'step');
});

test('what was typed as a birth date survives a server that is gone', () => {
  const state = after(
    ...opened(verdict('first', { steps: STEPS })),
    { type: 'birth-date-typed', text: '3/4/1987' },
    { type: 'check-refused', lineId: 'a', problem: { code: 'unreachable' } },
  );
  assert.equal(state.sheet.birthDateText, '3/4/1987');
});

test('the birth date of a look-alike line stays covered until it is told apart', () => {
  const turn = { type: 'cover-turned' };
  const before = after(...opened(verdict('first', { steps: STEPS })), turn);
  assert.equal(before.sheet.isUncovered, false);
  const wrong = after(...opened(verdict('stop', { reasons: [reason('not-this-line')] })), turn);
  assert.equal(wrong.sheet.isUncovered, false);
  assert.equal(isToldApart(wrong.sheet), false);
  assert.equal(after(...opened(verdict('sign')), turn).sheet.isUncovered, true);
  assert.equal(after(...opened(verdict('sign')), turn, turn).sheet.isUncovered, false);
});

test('a half-made signature survives a reload that still allows it', () => {
  assert.deepEqual(after(...opened(verdict('sign')), drawn, came(verdict('sign'))).sheet.strokes, drawn.strokes);
});

test('a reload with the same verdict does not take the focus away', () => {
  const before = after(...opened(verdict('sign')), drawn);
  assert.equal(update(before, came(verdict('sign'))).focus, before.focus);
});

test('a half-made signature is dropped when another table has signed the line', () => {
  const state = after(
    ...opened(verdict('sign')),
    drawn,
    came(verdict('stop', { reasons: [reason('already-signed')] })),
  );
  assert.deepEqual(state.sheet.strokes, []);
  assert.equal(state.said.urgent, true);
});

test('what arrives for another line than the open one changes nothing', () => {
  const before = after(...opened(verdict('sign')));
  const other = { type: 'line-came', lineId: 'b', answer: lineAnswer(verdict('stop')), at: 5000 };
  assert.equal(update(before, other), before);
  const late = { type: 'verdict-came', lineId: 'b', evidence: {}, verdict: verdict('sign'), at: 5000 };
  assert.equal(update(before, late), before);
});

test('only the answers that a refusal rests on are asked again', () => {
  const open = after(...opened(verdict('first', { steps: STEPS })));
  const said = { birth_date: '1/1/1970', identification: 'shown', in_line_at_cut_off: null };
  const refused = update(open, {
    type: 'verdict-came',
    lineId: 'a',
    evidence: said,
    verdict: verdict('stop', { reasons: [reason('not-this-line')] }),
    at: 3000,
  });
  assert.deepEqual(answersToAskAgain(refused.sheet), ['birth_date']);
});

test('opening another line starts with no evidence of the one before', () => {
  const state = after(
    ...opened(verdict('first', { steps: STEPS })),
    {
      type: 'verdict-came',
      lineId: 'a',
      evidence: { birth_date: '3/4/1987', identification: null, in_line_at_cut_off: null },
      verdict: verdict('sign'),
      at: 3000,
    },
    { type: 'line-opened', lineId: 'b', name: 'Castellane, Orson', at: 6000 },
  );
  assert.equal(state.sheet.evidence.birth_date, null);
  assert.equal(state.sheet.verdict, null);
});

test('twins are named until the line is signed, since the birth date tells nobody apart', () => {
  const twin = { line_id: 'b', name: 'Crane, Odile', same_birth_date: true };
  const father = { line_id: 'c', name: 'Crane, Otto', same_birth_date: false };
  const asking = after(...opened(verdict('first', { steps: STEPS }))).sheet;
  const sheet = { ...asking, lookAlikes: [twin, father] };
  assert.deepEqual(twinsOf(sheet), ['Crane, Odile']);
  assert.deepEqual(twinsOf({ ...sheet, verdict: verdict('sign') }), ['Crane, Odile']);
  const signed = verdict('stop', { reasons: [reason('already-signed')] });
  assert.deepEqual(twinsOf({ ...sheet, verdict: signed }), []);
});

test('a name is spelled letter by letter, accents and all', () => {
  assert.equal(lettersOf({ first_name: 'Zoë' }), 'Z\u2011O\u2011Ë');
});
