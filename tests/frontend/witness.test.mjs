import assert from 'node:assert/strict';
import { test } from 'node:test';

import { kindWords } from '../../frontend/logic/coded.js';
import { unrecordedOf } from '../../frontend/logic/unrecorded.js';
import { update } from '../../frontend/logic/whole_page.js';
import { markBody, witnessLacks } from '../../frontend/logic/witness.js';
import { mayMark } from '../../frontend/logic/sheet.js';
import { after, opened, reason, RECEIPT, SIGNATURE, verdict } from './making.mjs';

const MAY = verdict('sign', { options: [{ code: 'mark-and-witness', facts: {} }] });
const wanted = { type: 'witness-wanted', at: 2000 };
const note = (field, value) => ({ type: 'witness-noted', field, value });
const drawn = { type: 'signature-drawn', strokes: [[[0, 0, 0], [9000, 9000, 90]]] };
const form = (...events) => after(...opened(MAY), wanted, ...events);

test('only where the rules offer it may a mark take the place of a signature', () => {
  assert.equal(mayMark(after(...opened(MAY)).sheet), true);
  assert.equal(mayMark(after(...opened(verdict('sign'))).sheet), false);
});

test('the form begins with the mark; what was tried on the pad is the mark', () => {
  assert.deepEqual([form().focus.on, form().sheet.witness.mark], ['witness-mark', null]);
  assert.equal(after(...opened(MAY), drawn, wanted).sheet.witness.mark, 'drawn');
});

test('what is missing is told field by field, the first one gets the focus', () => {
  assert.deepEqual(witnessLacks(form().sheet), { mark: 'mark', name: 'name' });
  assert.deepEqual(witnessLacks(form(note('mark', 'drawn'), note('name', 'Wilma Gant')).sheet), { mark: 'drawing' });
  const state = form(note('mark', 'none'), { type: 'witness-lacking', problems: { name: 'name' } });
  assert.equal(state.focus.on, 'witness-name');
  assert.deepEqual(witnessLacks(form(note('mark', 'paper'), note('name', ' Wilma ')).sheet), {});
});

test('only a drawn mark sends strokes, and a witness who signs on paper sends none', () => {
  const { sheet } = after(...opened(MAY), drawn, wanted, note('mark', 'paper'), note('name', ' Wilma Gant '));
  const body = markBody(sheet);
  assert.deepEqual([body.how, body.mark, body.strokes], ['mark', 'paper', null]);
  assert.deepEqual(body.witness, { name: 'Wilma Gant', how: 'paper', strokes: null });
  const both = after(...opened(MAY), drawn, wanted, { type: 'witness-drawn', strokes: drawn.strokes });
  assert.deepEqual([markBody(both.sheet).strokes, markBody(both.sheet).witness.how], [drawn.strokes, 'drawn']);
});

test('a witness with the voter’s own name is told beside the name, until another is typed', () => {
  const refused = form(SIGNATURE, { type: 'write-refused', key: 'k1', problem: { code: 'witness-is-voter' } });
  assert.equal(refused.focus.on, 'witness-name');
  assert.equal(refused.sheet.problem.code, 'witness-is-voter');
  assert.equal(update(refused, note('name', 'Wilma')).sheet.problem, null);
});

test('the confirmation names the witness', () => {
  const body = { how: 'mark', mark: 'none', witness: { name: 'Wilma Gant', how: 'paper' } };
  const write = { ...SIGNATURE, write: { ...SIGNATURE.write, body } };
  const { confirmation } = form(write, { type: 'write-accepted', key: 'k1', receipt: RECEIPT });
  assert.deepEqual([confirmation.how, confirmation.witness], ['no-mark', 'Wilma Gant']);
});

test('the history of the line says how and before whom', () => {
  const say = (key, facts) => `${key} ${facts.witness_name ?? ''}`;
  say.has = () => true;
  const entry = (body) => ({ kind: 'signature.recorded', body });
  assert.equal(kindWords(say, entry({ how: 'mark', mark: 'paper', witness_name: 'Wilma' })), 'entry.by-mark Wilma');
  assert.equal(kindWords(say, entry({ how: 'mark', mark: 'none', witness_name: 'Wilma' })), 'entry.by-no-mark Wilma');
  assert.equal(kindWords(say, entry({ how: 'paper' })), 'entry.signature.recorded ');
  assert.equal(kindWords(say, { kind: 'signature.recorded' }), 'entry.signature.recorded ');
});

test('back keeps the drawing; a refusal drops the form and keeps what was typed readable', () => {
  const back = form(drawn, { type: 'witness-dropped', at: 3000 });
  assert.deepEqual([back.sheet.witness, back.sheet.strokes, back.focus.on], [null, drawn.strokes, 'primary']);
  const typed = form(note('name', 'Wilma Gant'), { type: 'witness-drawn', strokes: drawn.strokes });
  assert.deepEqual(unrecordedOf(typed.sheet), { typed: [['steps.witness-name', 'Wilma Gant']], isDrawn: true });
  const stop = verdict('stop', { reasons: [reason('already-signed')] });
  const stopped = update(typed, { type: 'verdict-came', lineId: 'a', evidence: typed.sheet.evidence, verdict: stop, at: 9000 });
  assert.equal(stopped.sheet.witness, null);
});

test('a witness’s signature that is typed away is told as not recorded', () => {
  const left = form({ type: 'witness-drawn', strokes: drawn.strokes }, { type: 'sheet-left' });
  assert.equal(left.notice.key, 'signing.left');
});
