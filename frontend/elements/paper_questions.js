/** What is asked about a row before it is keyed: what the paper shows, or why it is keyed at all. */

import { sentenceOf } from '../logic/coded.js';
import { NEVER_ANYWAY } from '../logic/paper_row.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { filledIn, textField } from './fields.js';
import { h } from './paint.js';
import { besideWords, hoursAsk } from './paper_hours_parts.js';

const about = ({ shown }, say) =>
  shown && h('p', { class: 'next', key: 'about' }, h('strong', null, shown.match.name), ` ${[shown.match.voter_number, say('keying.born', { year: shown.match.birth_date.slice(0, 4) })].join(' · ')}`);

// What the paper may show of each step: the facts that are sent, by the words of the answer.
const SHOWS = {
  'tell-apart': { 'tell-apart-yes': { told_apart: true } },
  'in-line-at-cut-off': { 'in-line-yes': { in_line_at_cut_off: true }, 'in-line-no': { in_line_at_cut_off: false } },
  identification: {
    'identification-shown': { identification: 'shown' },
    'identification-affirmed': { identification: 'affirmed' },
    'identification-not': { identification: 'not_shown' },
  },
  'affirm-address': { 'address-yes': { address_affirmed: true }, 'address-no': { address_affirmed: false } },
  'ask-moved': { 'moved-no': { moved: 'no' }, 'moved-within': { moved: 'within' }, 'moved-outside': { moved: 'outside' } },
  'address-confirmation': { 'card-yes': { card_done: true } },
  assistance: { 'helper-none': { helper: { wanted: false } } },
};

/** One step that the verdict asks for, in large words; the paper may be silent about it. */
export function stepAsked(state, say, send) {
  const { row } = state.paperHours;
  const { step, isSending } = row;
  const shows = Object.entries(SHOWS[step] ?? {});
  return [
    about(row, say),
    hoursAsk(say.has(`paper-step.${step}`) ? say(`paper-step.${step}`) : sentenceOf(say, 'step', { code: step }), `step-${step}`),
    step === 'tell-apart' && lookAlikes(row, say),
    step === 'assistance' && helperForm(row, say, send),
    answers(
      [
        ...shows.map(([words, said]) => ({ key: words, words: say(`paper-shows.${words}`), press: (event) => send({ type: 'hours-answered', said, at: event.timeStamp }) })),
        { key: 'not', words: say('paper-shows.nothing'), press: (event) => send({ type: 'hours-why-wanted', at: event.timeStamp }) },
        { key: 'back', words: say('on-paper.look-again'), press: back(send) },
      ],
      { isBusy: isSending },
    ),
  ];
}

const back = (send) => (event) => send({ type: 'hours-back', at: event.timeStamp });

/** Whoever else could be meant, to be compared with what stands on the paper. */
const lookAlikes = ({ shown }, say) =>
  h(
    'ul',
    { class: 'kinds', key: 'look-alikes' },
    (shown.line?.lookAlikes ?? []).map((each) =>
      h('li', { key: each.line_id }, [each.name, each.voter_number, each.address_protected ? say('note.protected') : each.address].filter(Boolean).join(' · ')),
    ),
  );

const helperForm = ({ helper, problems, isSending }, say, send) =>
  h(
    'form',
    { class: 'why', key: 'helper', novalidate: true, on: filledIn(() => isSending || send({ type: 'hours-helper-submitted' })) },
    textField(
      say('hours-field.helper'),
      { id: 'hours-helper', value: helper, most: 120, leadsOn: true, problem: besideWords(problems.helper, say) },
      { input: (event) => send({ type: 'hours-field-typed', field: 'helper', text: event.target.value }) },
    ),
    button(say('paper-shows.helper'), () => {}, { type: 'submit', isBusy: isSending }),
  );

/** The rules say no, and the voter has signed: looked at again first. */
export function refusedRow(state, say, send) {
  const { row } = state.paperHours;
  const { refused, isSending } = row;
  return [
    about(row, say),
    hoursAsk(sentenceOf(say, 'reason', { ...refused, facts: refused, sentence: refused.detail }), 'refused'),
    h('p', { class: 'next', key: 'next' }, say('on-paper.refused-next')),
    answers(
      [
        { key: 'back', words: say('on-paper.look-again'), isMain: true, press: back(send) },
        !NEVER_ANYWAY.has(refused.code) && { key: 'anyway', words: say('on-paper.key-anyway'), press: (event) => send({ type: 'hours-why-wanted', at: event.timeStamp }) },
      ],
      { isBusy: isSending },
    ),
  ];
}

export function twiceAsked(state, say, send) {
  const { row } = state.paperHours;
  const { twice, isSending } = row;
  return [
    about(row, say),
    hoursAsk(say('on-paper.twice', { name: row.shown.match.name, row: twice.row_number, time: twice.local_time, initials: twice.initials }), 'twice'),
    answers(
      [
        { key: 'back', words: say('on-paper.twice-no'), isMain: true, press: back(send) },
        { key: 'twice', words: say('on-paper.twice-yes'), press: (event) => send({ type: 'hours-twice-meant', at: event.timeStamp }) },
      ],
      { isBusy: isSending },
    ),
  ];
}

const reasonForm = (state, say, send, { ask, usual, means, press }) => {
  const { row } = state.paperHours;
  return [
    about(row, say),
    hoursAsk(ask, row.stage),
    h('p', { class: 'next', key: 'means' }, means),
    h(
      'form',
      { class: 'why', key: 'why', novalidate: true, on: filledIn(() => row.isSending || send({ type: 'hours-why-submitted', usual })) },
      textField(
        say('dialog.reason'),
        { id: 'hours-why', value: row.why, most: 400, hint: usual && say('undo.why-hint', { usual }), problem: besideWords(row.problems.why, say) },
        { input: (event) => send({ type: 'hours-field-typed', field: 'why', text: event.target.value }) },
      ),
      button(say(row.isSending ? 'signing.busy' : press), () => {}, { type: 'submit', look: 'primary', isBusy: row.isSending }),
    ),
  ];
};

/** Why it is keyed although the paper does not show a step. */
export const whyForm = (state, say, send) =>
  reasonForm(state, say, send, { ask: say('on-paper.why'), usual: say('on-paper.why-usual'), means: say('on-paper.why-means'), press: 'on-paper.key' });

/** A row that waits stays without a line. */
export const offForm = (state, say, send) =>
  reasonForm(state, say, send, { ask: say('on-paper.why-off', { name: state.paperHours.row.settles?.name || state.paperHours.row.settles?.said_number }), usual: '', means: say('on-paper.why-off-means'), press: 'on-paper.settle-off' });

export function nobodyForm(state, say, send) {
  const { person, problems, isSending } = state.paperHours.row;
  const field = (name, most) =>
    textField(
      say(`hours-field.${name}`),
      { id: `hours-${name}`, value: person[name], most, problem: besideWords(problems[name], say) },
      { input: (event) => send({ type: 'hours-field-typed', field: name, text: event.target.value }) },
    );
  return [
    h('p', { class: 'ask', key: 'ask' }, say('on-paper.nobody')),
    h('p', { class: 'next', key: 'means' }, say('on-paper.nobody-means')),
    h(
      'form',
      { class: 'paper nobody', key: 'nobody', novalidate: true, on: filledIn(() => isSending || send({ type: 'hours-person-submitted' })) },
      field('name', 120),
      field('number', 20),
      button(say(isSending ? 'signing.busy' : 'on-paper.key-nobody'), () => {}, { type: 'submit', look: 'primary', isBusy: isSending }),
    ),
  ];
}
