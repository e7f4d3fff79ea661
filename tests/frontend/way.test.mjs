import assert from 'node:assert/strict';
import { test } from 'node:test';

import { directedBody, directedFacts, endingLacks, isOfferDue } from '../../frontend/logic/ending.js';
import { isNobodyElsewhere } from '../../frontend/logic/elsewhere.js';
import { isUnmeant, update } from '../../frontend/logic/whole_page.js';
import { closestLines, isSpelledAnew } from '../../frontend/logic/way.js';
import { after, DAY, opened, reason, RECEIPT, signedOn, verdict } from './making.mjs';

const NOTHING_FOUND = [
  { type: 'typed', text: 'quixote', at: 1000 },
  { type: 'found', asked: 1, answer: { matches: [], ignored: [], fits: 0 } },
];
const enter = { type: 'enter-pressed', at: 2000, repeat: false };
const lostNow = { type: 'lost-opened', at: 2000 };
const asked = { type: 'way-asked' };
const question = (code, field, answers = ['yes', 'no'], facts = {}) => ({ code, field, answers, facts });
const SPELLED = question('spelled-otherwise', 'spelled_otherwise', ['not_found']);
const came = (number, more, at = 3000) => ({
  type: 'way-came',
  asked: number,
  answer: { question: null, options: [], caution: '', suggestions: [], ...more },
  at,
});
const ways = (...codes) => codes.map((code) => ({ code, facts: {} }));
/** Lost, asked, and at the first question. */
const lost = (...events) => after(...NOTHING_FOUND, lostNow, asked, came(1, { question: SPELLED }), ...events);
/** Lost, and at what can be done. */
const atOptions = (codes, ...events) =>
  lost(
    { type: 'way-answered', field: 'spelled_otherwise', value: 'not_found', at: 4000 },
    asked,
    came(2, { options: ways(...codes) }, 4500),
    ...events,
  );
const chosen = (code) => ({ type: 'ending-chosen', code, at: 6000 });
const back = { type: 'way-back', at: 9000 };
const noted = (field, text) => ({ type: 'way-noted', field, text });

test('the text of a scanned card is looked for, and stands in no field and no heading', () => {
  const card = '@ANSI 636000100002DL00410278DLDCSQUIXOTE';
  const state = after({ ...NOTHING_FOUND[0], text: card }, NOTHING_FOUND[1], lostNow);
  assert.deepEqual([state.way.typed, state.way.scanned, state.way.elsewhere.text], ['', card, '']);
});

test('the way begins with what was typed, and records nothing', () => {
  const state = after(...NOTHING_FOUND, lostNow);
  assert.equal(state.way.typed, 'quixote');
  assert.equal(state.way.isDue, true);
  assert.equal(state.pending, null);
});

test('whoever says that none of the lines is the person begins the way, too', () => {
  const state = after(NOTHING_FOUND[0], { type: 'lost-opened', at: 2000 });
  assert.equal(state.way.typed, 'quixote');
});

test('the question has the focus, or the field that it asks to be typed in', () => {
  assert.equal(lost().focus.on, 'way-typed');
  const eligible = came(2, { question: question('says-eligible', 'says_eligible') });
  assert.equal(lost(asked, eligible).focus.on, 'way');
});

test('an answer goes into the situation, and the rules are asked what is next', () => {
  const state = lost({ type: 'way-answered', field: 'spelled_otherwise', value: 'not_found', at: 4000 });
  assert.equal(state.way.situation.spelled_otherwise, 'not_found');
  assert.deepEqual([state.way.isDue, state.way.isBusy], [true, true]);
});

test('an answer to an older question never overwrites a newer one', () => {
  const state = lost(asked, asked, came(3, { question: question('says-eligible', 'says_eligible') }), came(2, { question: SPELLED }));
  assert.equal(state.way.question.code, 'says-eligible');
});

test('while the name is being spelled the caret stays where it is', () => {
  const before = lost({ type: 'way-spelled', text: 'quijote' }, asked);
  const after = update(before, came(2, { question: SPELLED, suggestions: [{ line_id: 'q' }] }));
  assert.equal(after.focus, before.focus);
  assert.equal(after.way.suggestions.length, 1);
});

test('lines that fit what is spelled now stand before those that come close, each once', () => {
  const ids = (lines) => lines.map((each) => each.line_id);
  const one = (line_id) => ({ line_id });
  assert.deepEqual(ids(closestLines([one('a'), one('b')], [one('b'), one('c')])), ['a', 'b', 'c']);
  assert.equal(closestLines([...'abcd'].map(one), [...'efghi'].map(one)).length, 8);
});

test('what the box has looked for already is not looked for again', () => {
  const state = lost();
  assert.equal(isSpelledAnew(state.way, state.search), false);
  const spelled = update(state, { type: 'way-spelled', text: 'quijote' });
  assert.equal(isSpelledAnew(spelled.way, spelled.search), true);
});

test('Escape takes one step back: out of the ending, out of the last answer, and then out', () => {
  const ended = atOptions(['call-registrar'], chosen('call-registrar'));
  const options = update(ended, back);
  assert.deepEqual([options.way.ending, options.way.options.length], [null, 1]);
  const unasked = update(options, back);
  assert.equal(unasked.way.situation.spelled_otherwise, null);
  assert.equal(unasked.way.isDue, true);
  const first = [asked, came(3, { question: SPELLED }, 9500)].reduce(update, unasked);
  const gone = update(first, back);
  assert.equal(gone.way, null);
  assert.equal(gone.focus.on, 'box');
  assert.equal(gone.search.text, 'quixote');
});

test('leaving with something typed is asked about first, and then either way is open', () => {
  const typed = atOptions(['write-down-why'], chosen('write-down-why'), noted('reason', 'no time'), back, back);
  const first = [asked, came(3, { question: SPELLED }, 9500), back].reduce(update, typed);
  assert.equal(first.way.isLeaving, true);
  assert.equal(update(first, { type: 'way-stayed' }).way.reason, 'no time');
  assert.equal(update(first, { type: 'way-given-up' }).way, null);
  assert.equal(update(first, back).way.isLeaving, false);
});

test('what was typed for one ending is still there after looking at another', () => {
  const state = atOptions(
    ['write-down-why', 'call-registrar'],
    chosen('write-down-why'),
    noted('reason', 'no time'),
    back,
    chosen('call-registrar'),
    back,
    chosen('write-down-why'),
  );
  assert.equal(state.way.reason, 'no time');
});

test('nobody leaves without having been offered the ballot that they may have', () => {
  for (const code of ['write-down-why', 'registration-form']) {
    const state = atOptions([code, 'provisional-ballot'], chosen(code));
    assert.equal(isOfferDue(state.way), true, code);
    const declined = update(state, { type: 'provisional-declined', at: 7000 });
    assert.equal(isOfferDue(declined.way), false);
    assert.equal(directedBody(declined.way).provisional_declined, true);
    assert.equal(isOfferDue(update(declined, back).way), true, 'Back asks again');
  }
  assert.equal(isOfferDue(atOptions(['write-down-why'], chosen('write-down-why')).way), false);
  assert.equal(isOfferDue(atOptions(['direct-elsewhere', 'provisional-ballot'], chosen('direct-elsewhere')).way), false);
});

test('a person who leaves needs a reason, and one sent elsewhere a place', () => {
  const why = atOptions(['write-down-why'], chosen('write-down-why')).way;
  assert.deepEqual(endingLacks(why), { reason: 'reason' });
  assert.deepEqual(endingLacks({ ...why, reason: ' no time ' }), {});
  const where = { ...why, ending: 'direct-elsewhere' };
  assert.deepEqual(Object.keys(endingLacks(where)), ['precinct', 'polling_place']);
  assert.deepEqual(endingLacks({ ...where, elsewhere: { chosen: { elsewhere_id: 'e1' } } }), {});
});

test('something missing is told beside its field, which gets the focus', () => {
  const state = atOptions(['write-down-why'], chosen('write-down-why'), { type: 'ending-read' });
  assert.deepEqual(state.way.problems, { reason: 'reason' });
  assert.equal(state.focus.on, 'way-reason');
  const filled = [noted('reason', 'no time'), { type: 'ending-read' }].reduce(update, state);
  assert.equal(filled.focus.on, 'way-primary');
});

const PERSON = { elsewhere_id: 'e7', name: 'Clark, Laura', born: 1967, precinct: '3-09', polling_place: 'Upper Tern Grange', place_address: '2 Grange Lane' };

test('a person chosen in the list of the other precincts answers where they are registered', () => {
  const state = lost({ type: 'person-chosen', person: PERSON, at: 5000 });
  assert.equal(state.way.situation.elsewhere, 'yes');
  const body = directedBody({ ...state.way, ending: 'direct-elsewhere' });
  assert.deepEqual([body.way, body.elsewhere_id, body.place, body.name], ['elsewhere', 'e7', null, '']);
  const facts = directedFacts(state.way, DAY.worker);
  assert.deepEqual([facts.name, facts.place, facts.initials], ['Clark, Laura', 'Upper Tern Grange', 'MK']);
});

test('a place that the registrar names is sent in words, and belongs to no row of the list', () => {
  const state = lost(
    { type: 'person-chosen', person: PERSON, at: 5000 },
    { type: 'place-typed', field: 'precinct', text: ' 2-01 ' },
  );
  const body = directedBody({ ...state.way, ending: 'direct-elsewhere' });
  assert.equal(body.elsewhere_id, null);
  assert.equal(body.place.precinct, '2-01');
});

test('taking back where they are registered forgets the person chosen', () => {
  const state = lost({ type: 'person-chosen', person: PERSON, at: 5000 }, back);
  assert.equal(state.way.elsewhere.chosen, null);
  assert.equal(state.way.place.polling_place, '');
});

test('nobody in the other precincts is only said once the newest answer says so', () => {
  const elsewhere = { text: 'x', asked: 2, answered: 1, people: [], hasList: true };
  assert.equal(isNobodyElsewhere(elsewhere), false);
  assert.equal(isNobodyElsewhere({ ...elsewhere, answered: 2 }), true);
  assert.equal(isNobodyElsewhere({ ...elsewhere, answered: 2, hasList: false }), false);
});

test('the registrar may be called once more, and only that is asked again', () => {
  const state = atOptions(['call-registrar'], { type: 'way-answered', field: 'registrar', value: 'not_reached', at: 5000 }, { type: 'registrar-again', at: 6000 });
  assert.equal(state.way.situation.registrar, null);
  assert.deepEqual(state.way.answered, ['spelled_otherwise']);
});

const STOPPED = verdict('stop', {
  reasons: [reason('voted-by-mail'), reason('removed')],
  options: ways('call-registrar', 'provisional-ballot', 'write-down-why'),
});

test('an option of a stopped line leads to the same endings, and Escape back to the line', () => {
  const state = after(...opened(STOPPED), { type: 'line-way-opened', code: 'write-down-why', at: 5000 });
  assert.equal(isOfferDue(state.way), true);
  assert.equal(directedBody(state.way).line_id, 'a');
  assert.equal(directedBody(state.way).name, '', 'the name stands on the line');
  const gone = update(state, back);
  assert.equal(gone.way, null);
  assert.equal(gone.sheet.lineId, 'a');
});

test('a double click on an answer does not answer the next question', () => {
  const state = lost(asked, came(2, { question: question('says-eligible', 'says_eligible') }, 5000));
  const press = (at) => ({ type: 'way-answered', field: 'says_eligible', value: 'yes', at });
  assert.equal(isUnmeant(state, press(5100)), true);
  assert.equal(isUnmeant(state, press(5400)), false);
  assert.equal(isUnmeant(update(state, press(5400)), press(6000)), true, 'while the first is on its way');
});

test('once it is written down the box is empty for the next voter and the place stays in sight', () => {
  const way = lost({ type: 'person-chosen', person: PERSON, at: 5000 });
  const write = { key: 'k1', what: 'directed', path: '/people-directed', body: { way: 'elsewhere' }, lineId: null, name: PERSON.name, place: PERSON, searchText: 'quixote', wayOpenedAt: way.way.openedAt };
  const state = [
    { type: 'write-started', write },
    { type: 'write-accepted', key: 'k1', receipt: { ...RECEIPT, papers: ['direction-slip'] } },
  ].reduce(update, way);
  assert.equal(state.way, null);
  assert.deepEqual([state.search.text, state.focus.on], ['', 'box']);
  assert.deepEqual([state.confirmation.kind, state.confirmation.seq, state.confirmation.papers], ['directed', 9, ['direction-slip']]);
});

test('a refusal leaves everything typed where it is and is told', () => {
  const way = atOptions(['write-down-why'], chosen('write-down-why'), noted('reason', 'no time'));
  const write = { key: 'k1', what: 'directed', path: '/people-directed', body: {}, lineId: null, name: '', searchText: '', wayOpenedAt: way.way.openedAt };
  const state = [
    { type: 'write-started', write },
    { type: 'write-refused', key: 'k1', problem: { code: 'provisional-not-offered' } },
  ].reduce(update, way);
  assert.deepEqual([state.way.problem.code, state.way.reason, state.focus.on], ['provisional-not-offered', 'no time', 'problem']);
});

test('nothing personal of a way stays on the page when the session ends', () => {
  const full = lost({ type: 'person-chosen', person: PERSON, at: 5000 }, noted('name', 'Ambrose Quixote'), { type: 'session-ended' });
  assert.doesNotMatch(JSON.stringify(full), /quixote|Clark/i);
  assert.equal(signedOn().way, null);
});
