/**
 * The endings of a way. What is recorded is said in one sentence above its one button, and
 * nothing is recorded before that button is pressed.
 */

import { directedFacts, endingLacks, isOfferDue } from '../logic/ending.js';
import { isLead } from '../logic/day.js';
import { formKind, optionNow } from '../logic/way_state.js';
import { answers } from './answers.js';
import { problemBox } from './controls.js';
import { filledIn, textField } from './fields.js';
import { paper } from './form.js';
import { h } from './paint.js';
import { phone, placeBox, placeFields } from './way_questions.js';
import { writtenDown } from './written_down.js';

export function ending(state, say, send, ask) {
  const { way } = state;
  if (formKind(way)) return paper(state, say, send, ask);
  if (isOfferDue(way)) return offer(state, say, send, ask);
  return ENDINGS[way.ending](state, say, send, ask);
}

const ENDINGS = {
  'wait-for-opening': (state, say, send, ask) =>
    told(say('ending.wait-for-opening', state.day.election), state, say, send, ask),
  'ask-lead': (state, say, send, ask) =>
    told(say(isLead(state) ? 'ending.you-lead' : 'ending.ask-lead'), state, say, send, ask),
  'call-registrar': callRegistrar,
  'direct-elsewhere': (state, say, send, ask) => directing(state, say, send, ask, place(state, say, send)),
  'registration-form': (state, say, send, ask) => directing(state, say, send, ask, name(state, say, send)),
  'write-down-why': (state, say, send, ask) =>
    directing(state, say, send, ask, [reason(state, say, send), name(state, say, send)]),
};

/** An ending that records nothing: what to do, and the way back to what else can be done. */
const told = (words, state, say, send, ask) => [
  ask(words),
  h('p', { class: 'next' }, say('ending.nothing-written')),
  answers([otherWays(state, say, send)]),
];

const otherWays = ({ way }, say, send) => ({
  key: 'others',
  words: say(way.isDirect ? 'ending.back-to-line' : 'ending.other-ways'),
  press: (event) => send({ type: 'way-back', at: event.timeStamp }),
});

function callRegistrar(state, say, send, ask) {
  const { way, day } = state;
  return [
    ask(say('ending.call-registrar')),
    phone(day.registrar, say),
    h('p', { class: 'next' }, say('ending.nothing-written')),
    answers([
      way.situation.registrar && {
        key: 'again',
        words: say('ending.registrar-said'),
        press: (event) => send({ type: 'registrar-again', at: event.timeStamp }),
      },
      otherWays(state, say, send),
    ]),
  ];
}

/** Nobody leaves without having been offered the ballot that they may have. */
function offer(state, say, send, ask) {
  const { facts } = optionNow(state.way, 'provisional-ballot');
  return [
    ask(say('ending.offer')),
    facts.may_not_count && h('p', { class: 'next' }, say('form.may-not-count')),
    answers([
      {
        key: 'wanted',
        words: say('ending.wanted'),
        press: (event) =>
          send({ type: 'ending-chosen', code: 'provisional-ballot', at: event.timeStamp }),
      },
      {
        key: 'declined',
        words: say('ending.declined'),
        press: (event) => send({ type: 'provisional-declined', at: event.timeStamp }),
      },
    ]),
  ];
}

/** Where to, to whom or why; the sentence that will be written down; the button that does it. */
function directing(state, say, send, ask, fields) {
  const { way, pending, day } = state;
  const confirm = (at) => {
    const problems = endingLacks(way);
    send(Object.keys(problems).length ? { type: 'ending-lacking', problems } : { type: 'ending-confirmed', at });
  };
  return [
    ask(say(`ending.${way.ending}`)),
    problemBox(say, way.problem, { isKept: false }),
    h(
      'form',
      {
        novalidate: true,
        on: filledIn(() => send({ type: 'ending-read' })),
      },
      fields,
      writtenDown(written(way, day, say), say),
    ),
    answers([
      {
        key: 'record',
        words: say(pending ? 'signing.busy' : `press.${way.ending}`),
        press: (event) => confirm(event.timeStamp),
        isMain: true,
        focus: 'way-primary',
      },
      otherWays(state, say, send),
    ], { isBusy: Boolean(pending) }),
  ];
}

function written(way, day, say) {
  const facts = directedFacts(way, day.worker);
  const unfilled = { name: facts.name || say('written.somebody'), place: facts.place || '…' };
  return say(`written.${way.ending}`, { ...facts, ...unfilled });
}

function place({ way }, say, send) {
  if (way.elsewhere.chosen) return placeBox(way.place, say);
  return [...placeFields(way, say, send), nameField(way, say, send)];
}

const name = ({ way }, say, send) => (way.line ? null : nameField(way, say, send));

const nameField = (way, say, send) =>
  textField(
    say('form.person'),
    { id: 'way-name', value: way.name, most: 120, isPlain: true, hint: say('form.person-hint') },
    { input: (event) => send({ type: 'way-noted', field: 'name', text: event.target.value }) },
  );

const reason = ({ way }, say, send) =>
  textField(
    say('form.why-leaves'),
    {
      id: 'way-reason',
      value: way.reason,
      most: 400,
      hint: say('form.why-hint'),
      problem: way.problems.reason && say(`lack.${way.problems.reason}`),
    },
    { input: (event) => send({ type: 'way-noted', field: 'reason', text: event.target.value }) },
  );
