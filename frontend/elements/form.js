/**
 * A paper filled in at the table: its fields, what the rules still ask, and the signature
 * under the sentence that will be written down. See logic/form_fields.js for the fields.
 */

import { sentenceOf, stepWords } from '../logic/coded.js';
import { authorisationOf } from '../logic/authorisations.js';
import { isLead } from '../logic/day.js';
import { affidavitFacts, provisionalFacts } from '../logic/ending.js';
import { fieldsOf, provisionalReason } from '../logic/form_fields.js';
import { formNow, optionNow } from '../logic/way_state.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { choiceField, filledIn, textField, tickField } from './fields.js';
import { h } from './paint.js';
import { stepAnswers } from './steps.js';
import { writtenDown } from './written_down.js';

export const paper = (state, say, send, ask) =>
  STAGES[formNow(state.way).stage](state, say, send, ask);

const STAGES = { fields, step, refused, sign };

function fields(state, say, send, ask) {
  const { way, day } = state;
  const form = formNow(way);
  return [
    ask(say(`form.${form.kind}`)),
    h('p', { class: 'next', key: 'about' }, about(state, form, say)),
    problemBox(say, way.problem, { isKept: false }),
    form.alreadyOn && alreadyOn(state, form.alreadyOn, say, send),
    h(
      'form',
      {
        class: 'paper',
        key: 'paper',
        novalidate: true,
        on: filledIn((event) => {
          if (!way.isBusy) send({ type: 'form-submitted', at: event.timeStamp });
        }),
      },
      fieldsOf(form.kind, form.values, day, way).map((each) => field(each, form, way, say, send)),
      button(say(way.isBusy ? 'form.asking' : 'form.go-on'), () => {}, {
        look: 'primary',
        type: 'submit',
        key: 'go-on',
        isBusy: way.isBusy,
      }),
    ),
  ];
}

/** What this paper is for, in this case; and what the voter must know before signing it. */
function about({ way }, form, say) {
  if (form.kind === 'affidavit') return say('form.affidavit-means');
  const facts = optionNow(way, 'provisional-ballot')?.facts ?? {};
  return [
    say('form.provisional-means', { reason: say(`because.${provisionalReason(way)}`) }),
    facts.ballot_class === 'extended_hours' && ` ${say('form.kept-apart')}`,
    facts.may_not_count && ` ${say('form.may-not-count')}`,
  ];
}

function field({ name, label: asked = name, kind, most, choices, hint, born }, form, way, say, send) {
  const change = (value) => send({ type: 'form-typed', field: name, value });
  const own = {
    id: `form-${name}`,
    value: form.values[name],
    problem: form.problems[name] && say(`lack.${form.problems[name]}`),
    hint: hintWords(name, hint, born, say),
  };
  const label = say(`form.${asked}`);
  if (kind === 'tick') return tickField(label, own, change);
  if (kind === 'choice') {
    return choiceField(label, { ...own, choices: choices.map((value) => choiceWords(name, value, way, say)) }, change);
  }
  return textField(label, { ...own, most }, { input: (event) => change(event.target.value) });
}

function hintWords(name, hint, born, say) {
  if (!hint) return say.has(`form-hint.${name}`) && say(`form-hint.${name}`);
  return [born && say('form.born-said', { born }), say(`steps.${hint}`)].filter(Boolean).join(' ');
}

const CHOICE_WORDS = {
  ballot_button: (button, _, say) => say('form.button', { button }),
  authorised_how: (how, _, say) => say(`how.${how}`),
  authorisation_seq: (seq, way, say) => {
    const call = authorisationOf(way, seq);
    return call ? say('form.by-call', { ...call, time: call.local_time }) : say('form.by-hand');
  },
};

const choiceWords = (name, value, way, say) => ({ value, words: CHOICE_WORDS[name](value, way, say) });

/** The person has a line of their own: sign there. Only a lead may say it is somebody else. */
function alreadyOn(state, other, say, send) {
  return h(
    'div',
    { class: 'problem', key: 'already-on', role: 'alert', tabindex: '-1', 'data-focus': 'already-on' },
    h('p', null, say('form.already-on', { name: other.name, number: other.voter_number })),
    h(
      'div',
      { class: 'buttons' },
      button(
        say('unrecorded.open-line'),
        () => send({ type: 'look-alike-opened', lineId: other.line_id, name: other.name }),
        { key: 'open', look: 'primary' },
      ),
      isLead(state)
        ? button(say('form.somebody-else'), () => send({ type: 'form-somebody-else' }), { key: 'else' })
        : h('p', null, say('form.somebody-else-lead')),
    ),
  );
}

/** A question that the rules ask about the new line, as on any other. */
function step(state, say, send, ask) {
  const [due] = formNow(state.way).verdict.steps;
  return [
    ask(stepWords(say, due)),
    problemBox(say, state.way.problem, { isKept: false }),
    answers(
      stepAnswers(due, say).map(({ said, value, words }) => ({
        key: String(value),
        words,
        press: (event) => send({ type: 'form-answered', said, value, at: event.timeStamp }),
      })),
      { isBusy: state.way.isBusy },
    ),
  ];
}

function refused(state, say, send, ask) {
  const { verdict } = formNow(state.way);
  return [
    ask(say(`outcome.${verdict.outcome}`)),
    verdict.reasons.map((reason) => h('p', { class: 'next' }, sentenceOf(say, 'reason', reason))),
    answers([
      {
        key: 'fields',
        words: say('form.change'),
        press: (event) => send({ type: 'form-fields-wanted', at: event.timeStamp }),
      },
    ]),
  ];
}

/** The last confirmation: what the voter signs, and what will be written down. */
function sign(state, say, send, ask) {
  const { way, day, pending } = state;
  const form = formNow(way);
  const isDrawn = form.strokes.length > 0;
  return [
    ask(say(`form.sign-${form.kind}`)),
    h('p', { class: 'next' }, say(`form.oath-${form.kind}`, { county: day.precinct.county })),
    problemBox(say, way.problem, { isKept: false }),
    h('signature-pad', {
      role: 'img',
      'aria-label': say(isDrawn ? 'signing.pad-drawn' : 'signing.pad'),
      props: {
        strokes: form.strokes,
        ondrawn: (strokes) => send({ type: 'form-drawn', strokes }),
      },
    }),
    writtenDown(written(state, form, say), say),
    answers(
      [
        {
          key: 'record',
          words: say(pending ? 'signing.busy' : isDrawn ? 'form.record' : 'form.record-paper'),
          press: (event) => send({ type: 'form-recorded', at: event.timeStamp }),
          isMain: true,
          focus: 'way-primary',
        },
        isDrawn && {
          key: 'redo',
          words: say('signing.redo'),
          press: () => send({ type: 'form-drawn', strokes: [] }),
        },
        {
          key: 'change',
          words: say('form.change'),
          press: (event) => send({ type: 'form-fields-wanted', at: event.timeStamp }),
        },
      ],
      { isBusy: Boolean(pending) },
    ),
  ];
}

function written({ way, day }, form, say) {
  const facts =
    form.kind === 'affidavit'
      ? affidavitFacts(form, day.worker)
      : provisionalFacts(way, form, day.worker);
  return say(`written.${form.kind}`, {
    ...facts,
    signed: say(`signed.${facts.signed}`),
    how: facts.how && say(`how.${facts.how}`),
    reason: facts.reason && say(`because.${facts.reason}`),
  });
}
