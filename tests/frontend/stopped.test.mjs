import assert from 'node:assert/strict';
import { test } from 'node:test';

import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { mayGoOn, typedOn } from '../../frontend/logic/stopped.js';
import { formNow } from '../../frontend/logic/way_state.js';
import { after, lineAnswer, opened, reason, step, verdict } from './making.mjs';

const PROVISIONAL = { code: 'provisional-ballot', facts: {} };
const entry = (kind, more = {}) => ({ type: 'entry-came', entry: { kind, line_id: 'a', station: 'Table 2', ...more }, time: '09:14', at: 10_000 });
const MARKED = entry('mark.recorded');
const refusal = (...options) => verdict('stop', { reasons: [reason('voted-by-mail')], options });
const came = (given) => ({ type: 'line-came', lineId: 'a', answer: lineAnswer(given), at: 10_100 });
const left = { type: 'stop-left', at: 20_000 };

/** A provisional form over the line of somebody whose right is doubted, half filled in. */
const form = (...events) =>
  after(
    ...opened(verdict('sign')),
    { type: 'line-way-opened', code: 'provisional-ballot', because: 'challenged', at: 2000 },
    { type: 'form-typed', field: 'note', value: 'a neighbor doubts the address' },
    { type: 'form-typed', field: 'envelope', value: 'A-12' },
    ...events,
  );

for (const kind of ['mark.recorded', 'signature.recorded', 'line.removed', 'provisional.recorded']) {
  test(`a form over a line stops at ${kind} from another table`, () => {
    const state = form(entry(kind));
    assert.equal(state.way.stopped.kind, kind);
    assert.deepEqual([state.focus.on, state.said.key, state.said.urgent], ['way', 'stopped.said', true]);
    assert.equal(isUnmeant(state, { type: 'form-recorded', at: 90_000 }), true);
  });
}

test('a list applied stops it by the lines that it names', () => {
  const applied = (ids) => entry('late_list.applied', { line_id: null, line_ids: ids });
  assert.equal(form(applied(['b', 'a'])).way.stopped.kind, 'late_list.applied');
  assert.equal(form(applied(['b'])).way.stopped, null);
});

test('what this table did itself, and what happens to another line, stops nothing', () => {
  assert.equal(form(entry('mark.recorded', { station: 'Table 1' })).way.stopped, null);
  assert.equal(form(entry('mark.recorded', { line_id: 'b' })).way.stopped, null);
  assert.equal(form(entry('line.corrected')).way.stopped, null);
});

test('while its own record is on its way, that answer tells', () => {
  const write = { key: 'k', what: 'provisional', path: '', body: {}, lineId: 'a', name: '', wayOpenedAt: 2000 };
  assert.equal(form({ type: 'write-started', write }, MARKED).way.stopped, null);
});

test('what was typed stays readable until the worker leaves', () => {
  const state = form(MARKED, came(refusal()));
  assert.deepEqual(typedOn(state).map(([label, , value]) => [label, value]), [
    ['form.note-challenged', 'a neighbor doubts the address'],
    ['form.envelope', 'A-12'],
  ]);
  const gone = update(state, left);
  assert.deepEqual([gone.way, gone.sheet.lineId, gone.focus.on], [null, 'a', 'verdict']);
});

test('a press that was meant for the form neither leaves nor goes on', () => {
  const state = form(MARKED, came(refusal(PROVISIONAL)));
  for (const type of ['stop-left', 'stop-passed', 'way-back']) {
    assert.ok(update(state, { type, at: 10_200 }).way.stopped, type);
  }
  assert.equal(update(state, { type: 'way-back', at: 20_000 }).way, null);
});

test('where the rules still offer the same, the form goes on for the new reason', () => {
  const state = form(MARKED, came(refusal(PROVISIONAL)));
  const on = update(state, { type: 'stop-passed', at: 20_000 });
  assert.deepEqual([on.way.stopped, on.way.isHalted, on.way.line.reasons], [null, false, ['voted-by-mail']]);
  assert.equal(formNow(on.way).values.envelope, 'A-12');
  assert.equal(isUnmeant(on, { type: 'form-recorded', at: 30_000 }), false);
});

test('where they no longer offer it, or have not said yet, it does not go on', () => {
  assert.equal(mayGoOn(form(MARKED)), false);
  const state = form(MARKED, came(refusal()));
  assert.equal(mayGoOn(state), false);
  assert.ok(update(state, { type: 'stop-passed', at: 20_000 }).way.stopped);
});

test('where the line may still be signed the form goes on as it was', () => {
  const state = form(entry('late_list.applied', { line_id: null, line_ids: ['a'] }), came(verdict('sign')));
  assert.deepEqual(update(state, { type: 'stop-passed', at: 20_000 }).way.line.reasons, ['challenged']);
});

test('the name of a helper that was being written down stays readable on the line', () => {
  const asked = verdict('first', { steps: [step('assistance')] });
  const helped = [
    ...opened(asked),
    { type: 'helper-wanted', at: 2000 },
    { type: 'helper-noted', field: 'name', value: 'Ines Orr' },
    { type: 'helper-drawn', strokes: [[[1, 2, 0]]] },
  ];
  const stopped = after(...helped, MARKED, came(refusal()));
  assert.equal(stopped.sheet.helper, null);
  assert.deepEqual(stopped.sheet.unrecorded, { typed: [['steps.helper-name', 'Ines Orr']], isDrawn: true });
  const goesOn = after(...helped, MARKED, came(asked));
  assert.deepEqual([goesOn.sheet.helper.name, goesOn.sheet.unrecorded], ['Ines Orr', null]);
});

test('so does a birth date that was typed and not compared yet', () => {
  const asked = verdict('first', { steps: [step('tell-apart')] });
  const { sheet } = after(...opened(asked), { type: 'birth-date-typed', text: '3/4/87' }, MARKED, came(refusal()));
  assert.deepEqual(sheet.unrecorded.typed, [['steps.birth-date-said', '3/4/87']]);
});

test('where nothing was typed nothing is told as lost', () => {
  assert.equal(after(...opened(verdict('sign')), MARKED, came(refusal())).sheet.unrecorded, null);
});
