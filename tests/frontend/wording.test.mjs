import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { cautionWords, kindsWords, problemWords, sentenceOf, stepWords, USUAL_CAUTION, whyWords } from '../../frontend/logic/coded.js';
import { dateWords, sayIn, timeWords } from '../../frontend/logic/wording.js';

const wordsOf = (language) =>
  JSON.parse(readFileSync(new URL(`../../frontend/words/${language}.json`, import.meta.url)));
const en = sayIn(wordsOf('en'), 'en-US');
const es = sayIn(wordsOf('es'), 'es-US');

test('facts are filled in, and a part whose fact is missing is left out', () => {
  const say = sayIn({ a: { b: 'Signed[[ at {time}]][[ ({initials})]].' } }, 'en-US');
  assert.equal(say('a.b', { time: '09:14', initials: '' }), 'Signed at 09:14.');
  assert.equal(say('a.b'), 'Signed.');
});

test('a time of the day is shown without seconds', () => {
  assert.match(en('phase.open', { closes: '20:00:00' }), /until 20:00\./);
});

test('a fact that looks like a template stays as it is', () => {
  const say = sayIn({ a: { b: 'Name: {name}' } }, 'en-US');
  assert.equal(say('a.b', { name: '{pin} [[x]] $&' }), 'Name: {pin} [[x]] $&');
});

test('one and many are told apart in both languages', () => {
  assert.equal(en('finder.look-alikes', { n: 1 }), '1 look-alike');
  assert.equal(en('finder.look-alikes', { n: 2 }), '2 look-alikes');
  assert.equal(es('finder.look-alikes', { n: 2 }), '2 líneas parecidas');
  assert.equal(en('strip.signed', { n: 1840 }), '1,840 lines signed.');
});

test('a key without words is a fault, not an empty place', () => {
  assert.throws(() => en('finder.nowhere'), /no words for finder.nowhere/);
});

test('a reason says when, where and who', () => {
  const reason = { code: 'already-signed', facts: { local_time: '09:14', station: 'Table 2', initials: 'JO' } };
  assert.match(sentenceOf(en, 'reason', reason), /at 09:14 at Table 2 \(JO\)/);
  assert.match(sentenceOf(es, 'reason', reason), /a las 09:14 en Table 2 \(JO\)/);
});

test('lists that contradict each other are named in words, not codes', () => {
  const reason = { code: 'lists-contradict', facts: { codes: ['voted-early', 'voted-by-mail'] } };
  assert.match(sentenceOf(en, 'reason', reason), /voted early and voted by mail/);
});

test('the list that a mark came from is named in words, any other as it is', () => {
  const mark = (source) => ({ code: 'voted-by-mail', facts: { source, initials: '' } });
  assert.match(sentenceOf(en, 'reason', mark('mail-voted.csv')), /list of mail voters/);
  assert.match(sentenceOf(en, 'reason', mark('phone-in 3')), /phone-in 3/);
});

test('a code this page does not know keeps the sentence of the server', () => {
  const option = { code: 'something-new', facts: {}, sentence: 'Do the new thing.' };
  assert.equal(sentenceOf(es, 'option', option), 'Do the new thing.');
});

test('a problem says what is wrong and what to do', () => {
  const wrong = problemWords(en, { code: 'wrong-pin', tries_left: 1 });
  assert.match(wrong.title, /1 try is left/);
  assert.ok(wrong.next);
  const unknown = problemWords(en, { code: 'brand-new', detail: 'Odd.', what_to_do: 'Wait.' });
  assert.deepEqual(unknown, { title: 'Odd.', next: 'Wait.' });
});

test('a refused signature tells the reason with its facts', () => {
  const problem = { code: 'already-signed', local_time: '09:14', station: 'Table 2', initials: 'JO', verdict: {} };
  assert.match(problemWords(en, problem).title, /09:14 at Table 2/);
});

test('the registrar’s own caution is shown as it is, the usual one in the worker’s language', () => {
  assert.equal(cautionWords(es, 'County rule 7 applies.'), 'County rule 7 applies.');
  assert.match(cautionWords(es, USUAL_CAUTION), /Deciden la ley local/);
});

test('why a line was found is told in Spanish by its code', () => {
  const match = { why: ['last name sounds like oneil', 'street'], why_codes: ['last-sounds', 'street'] };
  assert.deepEqual(whyWords(es, match), ['apellido suena parecido', 'calle']);
  assert.deepEqual(whyWords(en, match), match.why);
  assert.deepEqual(whyWords(es, { why: ['as new'], why_codes: ['new'] }), ['as new']);
});

test('a birth date is written with the month in letters, the same day in every time zone', () => {
  assert.equal(dateWords('1987-03-04', 'en-US', 'long'), 'March 4, 1987');
  assert.equal(dateWords('1987-03-04', 'es-US', 'long'), '4 de marzo de 1987');
  assert.equal(dateWords('unknown', 'en-US'), 'unknown');
});

test('an instant is told in the time of the polling place', () => {
  assert.equal(timeWords('2027-03-02T14:14:00.000Z', 'America/New_York'), '09:14');
});

test('at no try left the PIN is said to be locked now, with who unlocks it and how', () => {
  for (const say of [en, es]) {
    const now = problemWords(say, { code: 'wrong-pin', tries_left: 0 });
    assert.doesNotMatch(now.title, /0/);
    assert.match(now.title, /locked now|bloqueadas ahora/);
    assert.match(now.next, /tablebook worker unlock/);
    assert.match(problemWords(say, { code: 'pin-locked' }).next, /tablebook worker unlock/);
  }
});

test('closed polls are said to be closed, with no time that may not be the true one', () => {
  const reason = { code: 'polls-closed', facts: { closes: '20:00' } };
  assert.doesNotMatch(sentenceOf(en, 'reason', reason), /20:00/);
  assert.doesNotMatch(sentenceOf(es, 'reason', reason), /20:00/);
});

test('a protected address is not asked for aloud, and after a move the new one is asked for', () => {
  const ask = (facts) => stepWords(en, { code: 'affirm-address', facts });
  assert.match(ask({ moved: 'no', protected: false }), /Do you still live at this address/);
  assert.match(ask({ moved: 'no', protected: true }), /do not say it aloud/);
  assert.match(ask({ moved: 'within', protected: false }), /Where do you live now/);
  assert.match(stepWords(en, { code: 'ask-moved', facts: { county: 'Tern County' } }), /Have you moved/);
});

test('a first vote after registering by mail is said to need a document', () => {
  const ask = (firstTime) => sentenceOf(en, 'step', { code: 'identification', facts: { first_time_by_mail: firstTime } });
  assert.match(ask(true), /must be shown/);
  assert.doesNotMatch(ask(false), /must be shown/);
});

test('the usual documents are told in the worker’s language, the registrar’s own as they came', () => {
  const kinds = ['a current card with a photograph', 'a fishing licence'];
  assert.deepEqual(kindsWords(es, kinds), ['Una tarjeta vigente con fotografía', 'a fishing licence']);
});

test('a field with a problem says what to do, in both languages', () => {
  for (const say of [en, es]) {
    for (const code of ['envelope-used', 'envelope-plain', 'helper-not-allowed', 'ballot-unknown']) {
      assert.ok(say(`lack.${code}`).length > 20);
    }
  }
});
