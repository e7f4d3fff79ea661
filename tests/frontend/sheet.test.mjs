import assert from 'node:assert/strict';
import { test } from 'node:test';

import { activeStep, answersToAskAgain, isToldApart, maySign, namesToChoose, outcomeNow } from '../../frontend/logic/sheet.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
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
  for (const code of ['in-line-at-cut-off', 'identification', 'address-confirmation', 'assistance']) {
    const asked = after(...opened(verdict('first', { steps: [step(code)] })));
    assert.equal(asked.focus.on, 'question', `one absent-minded Enter must not answer ${code}`);
  }
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

const twin = { line_id: 'b', name: 'Castellane, Abigail', same_birth_date: true };
const father = { line_id: 'c', name: 'Castellane, Otto', same_birth_date: false };
const ASKED = { birth_date: '3/4/1987', identification: null, in_line_at_cut_off: null };
/** The sheet of a line with a twin, once the birth date has agreed and `given` is the verdict. */
const agreed = (given, ...lookAlikes) => {
  const asking = after(...opened(verdict('first', { steps: STEPS })));
  const sheet = { ...asking.sheet, lookAlikes };
  const event = { type: 'verdict-came', lineId: 'a', evidence: ASKED, verdict: given, at: 3000 };
  return update({ ...asking, sheet }, event);
};
const chosen = (lineId) => ({ type: 'first-name-chosen', lineId, at: 5000 });

test('once the birth date agrees, the voter’s first name is asked where a twin has the same', () => {
  const state = agreed(verdict('sign'), twin, father);
  assert.equal(activeStep(state.sheet).code, 'first-name');
  assert.equal(maySign(state.sheet), false);
  assert.equal(outcomeNow(state.sheet), 'first');
  assert.equal(state.said.facts.outcome, 'first');
  assert.equal(state.focus.on, 'question');
  assert.deepEqual(
    namesToChoose(state.sheet).map((each) => [each.given, each.lineId]),
    [['Abigail', 'b'], ['Orsolya', 'a']],
  );
  // Told as the twins' addresses are: nothing more may show which line is open.
  assert.equal(namesToChoose(state.sheet)[1].address, '12 Wharf Street, Ternmouth');
});

test('this line’s own first name goes on to what the rules say', () => {
  const state = update(agreed(verdict('sign'), twin), chosen('a'));
  assert.equal(maySign(state.sheet), true);
  assert.deepEqual([state.focus.on, state.said.facts.outcome], ['primary', 'sign']);
  assert.ok(state.sheet.settled.includes('first-name'));
  const card = update(agreed(verdict('first', { steps: [STEPS[1]] }), twin), chosen('a'));
  assert.equal(activeStep(card.sheet).code, 'identification');
});

test('the twin’s first name opens the twin’s line and signs nothing', () => {
  const state = update(agreed(verdict('sign'), twin), chosen('b'));
  assert.equal(state.search.opening, 'b');
  assert.equal(maySign(state.sheet), false);
  const next = update(state, { type: 'line-opened', lineId: 'b', at: 6000 });
  assert.equal(next.sheet.name, 'Castellane, Abigail');
});

test('a double click on an answer does not choose a first name', () => {
  assert.equal(isUnmeant(agreed(verdict('sign'), twin), { ...chosen('a'), at: 3100 }), true);
});

test('the first name is asked again when the birth date is', () => {
  const state = update(agreed(verdict('sign'), twin), chosen('a'));
  const again = update(state, {
    type: 'verdict-came',
    lineId: 'a',
    evidence: { ...ASKED, birth_date: null },
    verdict: verdict('first', { steps: STEPS }),
    at: 7000,
  });
  assert.equal(activeStep(again.sheet).code, 'tell-apart');
  const agreedAgain = update(again, { type: 'verdict-came', lineId: 'a', evidence: ASKED, verdict: verdict('sign'), at: 9000 });
  assert.equal(activeStep(agreedAgain.sheet).code, 'first-name');
});

test('no first name is asked without a twin, before the birth date, or on a refused line', () => {
  assert.equal(activeStep(agreed(verdict('sign'), father).sheet), null);
  assert.equal(activeStep(agreed(verdict('stop', { reasons: [reason('already-signed')] }), twin).sheet), null);
  assert.equal(activeStep(after(...opened(verdict('first', { steps: STEPS }))).sheet).code, 'tell-apart');
});

test('two lines of the very same name are told apart by what else stands there', () => {
  const same = { line_id: 'b', name: 'Castellane, Orsolya', address: '5 Other Lane', same_birth_date: true };
  const names = namesToChoose(agreed(verdict('sign'), same).sheet);
  assert.equal(new Set(names.map((each) => each.address)).size, 2);
});

test('an empty birth date is told as missing, and nothing is asked of the server', () => {
  const state = after(...opened(verdict('first', { steps: STEPS })), { type: 'birth-date-missing' });
  assert.equal(state.sheet.problem.code, 'birth-date-missing');
  assert.equal(state.focus.on, 'step');
  assert.equal(state.sheet.isBusy, false);
});

const dotted = { type: 'signature-drawn', strokes: [[[500, 500, 0]]] };
const pressed = (at) => ({ type: 'sign-pressed', at });

test('a very short signature is asked about once, and a bounce of that press is no answer', () => {
  const asked = after(...opened(verdict('sign')), dotted, pressed(5000));
  assert.deepEqual([asked.sheet.isShortAsked, asked.said.key, asked.focus.on], [true, 'signing.short', 'primary']);
  assert.equal(isUnmeant(asked, pressed(5100)), true);
  assert.equal(isUnmeant(asked, pressed(5400)), false);
  assert.equal(update(asked, pressed(5400)), asked);
});

test('drawing again takes the question back; a signature and paper are never asked about', () => {
  const again = after(...opened(verdict('sign')), dotted, pressed(5000), { type: 'signature-drawn', strokes: [] });
  assert.equal(again.sheet.isShortAsked, false);
  assert.equal(update(again, pressed(6000)), again);
  const whole = after(...opened(verdict('sign')), { type: 'signature-drawn', strokes: [[[0, 0, 0], [9000, 9000, 90]]] });
  assert.equal(update(whole, pressed(6000)), whole);
});

test('once the server is back the focus is where the next one thing is, not where the sentence was', () => {
  const gone = after(...opened(verdict('sign')), { type: 'check-refused', lineId: 'a', problem: { code: 'unreachable' } });
  assert.equal(gone.focus.on, 'problem');
  const back = update(gone, came(verdict('sign')));
  assert.deepEqual([back.sheet.problem, back.focus.on], [null, 'primary']);
  const elsewhere = { ...gone, focus: { on: 'box', count: 9 } };
  assert.deepEqual(update(elsewhere, came(verdict('sign'))).focus, elsewhere.focus);
});
