/** A call of the registrar's office, one stage at a time, read back before anything changes. */

import { CALLER_FIELDS, changesFor, DETAILS, nextPart, READ_BACK, recordLack } from '../logic/call.js';
import { buttonsOf } from '../logic/form_fields.js';
import { groupedCode } from '../logic/spoken_code.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { filledIn, textField } from './fields.js';
import { lateAsk, markWords } from './late_parts.js';
import { finder } from './late_row.js';
import { h } from './paint.js';
import { phone } from './way_questions.js';
import { beforeAfter, writtenDown } from './written_down.js';

export function callScreen(state, say, send) {
  const { call } = state.late;
  const isFirst = call.stage === 'caller' || call.done;
  return {
    title: say('late.call'),
    back: say(isFirst ? 'late.back' : 'way.back'),
    content: call.done ? done(state, say, send) : [locked(state, say, send), STAGES[call.stage](state, say, send), problem(state, say)],
  };
}

const STAGES = { caller, voter, change, read, record };

// What is wrong with a code is told beside its box.
const problem = ({ late: { call } }, say) =>
  !isOfCode(call.problem) && problemBox(say, call.problem, { isKept: false });
const isOfCode = (each) => each?.code.startsWith('code-') && each.code !== 'code-locked';

/** Too many wrong codes: what was heard cannot be trusted until the office is called back. */
const locked = ({ day, late: { call } }, say, send) =>
  (day.phone_code?.locked || call.problem?.code === 'code-locked') &&
  h(
    'div',
    { class: 'flags', key: 'locked' },
    h('p', null, h('strong', null, say('call.locked'))),
    h('p', null, say('call.locked-what', day.registrar)),
    button(say('call.unlock'), () => send({ type: 'dialog-opened', kind: 'unlock-codes' })),
  );

function caller(state, say, send) {
  const { values, problems } = state.late.call;
  return [
    lateAsk(say('call.ask-caller'), 'caller'),
    h('p', { class: 'next', key: 'back' }, say('call.hang-up')),
    phone(state.day.registrar, say),
    h(
      'form',
      { class: 'paper', key: 'caller', novalidate: true, on: submitting(send, 'caller-submitted') },
      CALLER_FIELDS.map((name) =>
        textField(
          say(`call.${name}`),
          { id: `call-${name}`, value: values[name], most: MOST[name], problem: problems[name] && say(`lack.${problems[name]}`) },
          { input: (event) => send({ type: 'call-typed', field: name, value: event.target.value }) },
        ),
      ),
      button(say('call.go-on'), () => {}, { look: 'primary', type: 'submit' }),
    ),
  ];
}

const MOST = { caller: 80, office: 80, number_called_back: 40, asked: 400 };

const submitting = (send, type) => filledIn((event) => send({ type, at: event.timeStamp }));

function voter(state, say, send) {
  const choose = (match, event) => send({ type: 'call-voter-chosen', lineId: match.line_id, at: event.timeStamp });
  const none = { key: 'no-line', words: say('call.no-line'), press: (event) => send({ type: 'call-no-line', at: event.timeStamp }) };
  return [lateAsk(say('call.ask-voter'), 'voter'), finder(state, say, send, choose, [none])];
}

const naming = (state) => state.late.call.answer?.line.name ?? '';

function change(state, say, send) {
  const { call } = state.late;
  if (call.what === 'authorise_affidavit') return argument(state, say, send, 'call.ask-person', 'call.person', 'call.person-hint');
  if (!call.answer) return lateAsk(say('way.asking'), 'change-waiting');
  if (call.what === 'set_button') return buttons(state, say, send);
  if (call.what === 'correct_detail' && !call.detail) return details(state, say, send);
  if (call.what === 'correct_detail') return argument(state, say, send, 'call.ask-value', null, null);
  return [
    lateAsk(say('call.ask-change', { name: naming(state) }), 'change'),
    answers(
      changesFor(call, state.day).map(({ what, argument: of }) => ({
        key: `${what}-${of}`,
        words: say(`change.${what}`, { mark: markWords(of, say) }),
        press: (event) => send({ type: 'call-change-chosen', what, argument: of, at: event.timeStamp }),
      })),
    ),
  ];
}

const buttons = (state, say, send) => [
  lateAsk(say('call.ask-button'), 'button'),
  answers(
    buttonsOf(state.day).map((number) => ({
      key: String(number),
      words: say('form.button', { button: number }),
      press: (event) => send({ type: 'call-button-chosen', button: number, at: event.timeStamp }),
    })),
    { isNumbered: false },
  ),
];

const details = (state, say, send) => [
  lateAsk(say('call.ask-detail'), 'detail'),
  answers(
    DETAILS.map((detail) => ({
      key: detail,
      words: say(`detail.${detail}`),
      press: (event) => send({ type: 'call-detail-chosen', detail, at: event.timeStamp }),
    })),
  ),
];

function argument(state, say, send, ask, label, hint) {
  const { call } = state.late;
  const detail = call.detail && say(`detail.${call.detail}`);
  const isDate = call.detail === 'birth_date';
  return [
    lateAsk(say(ask, { detail, name: naming(state) }), 'argument'),
    h(
      'form',
      { key: 'argument', novalidate: true, on: submitting(send, 'call-argument-submitted') },
      textField(
        label ? say(label) : detail,
        {
          id: 'call-argument',
          value: call.argument,
          most: 160,
          hint: hint ? say(hint) : isDate ? say(`steps.${state.day.policy?.date_order ?? 'month_first'}`) : null,
          problem: call.problems.argument && say(`lack.${call.problems.argument}`),
        },
        { input: (event) => send({ type: 'call-argument-typed', text: event.target.value }) },
      ),
      button(say('call.go-on'), () => {}, { look: 'primary', type: 'submit' }),
    ),
  ];
}

/** Grouped by threes: so a number is read out, and heard. */
const spaced = (number) => number.replace(/(.{3})(?=.)/g, '$1 ');

/** Read aloud over the telephone; each of the three is confirmed by itself. */
function read(state, say, send) {
  const { call } = state.late;
  const { line } = call.answer;
  const facts = {
    voter_number: spaced(line.voter_number) || say('call.no-voter-number'),
    name: [line.first_name, line.middle_name, line.last_name, line.suffix].filter(Boolean).join(' ') || line.name,
    birth_year: line.birth_date.slice(0, 4),
  };
  return [
    lateAsk(say('call.read-aloud', facts), 'read'),
    h('p', { class: 'next', key: 'what' }, changeWords(state, say)),
    h('p', { class: 'next', key: 'each' }, h('strong', null, say('call.each'))),
    answers([
      ...READ_BACK.map((part) => ({
        key: part,
        words: [
          h('span', { class: 'name' }, say(`call.read-${part}`, { value: facts[part] })),
          h('span', { class: 'more' }, say(call.read.includes(part) ? 'call.confirmed' : 'call.not-confirmed')),
        ],
        focus: `read-${part}`,
        isMain: part === nextPart(call.read),
        press: (event) => send({ type: 'call-read', part, at: event.timeStamp }),
      })),
      { key: 'another', words: say('call.another-voter'), press: (event) => send({ type: 'call-another-voter', at: event.timeStamp }) },
    ]),
  ];
}

/** The change in one clause, as it will be written down. */
function changeWords(state, say) {
  const { call } = state.late;
  const value = call.argument.trim() || say('change.blank');
  return say(`will-change.${call.what}`, {
    name: naming(state) || call.argument.trim(),
    mark: markWords(call.argument, say),
    detail: call.detail && say(`detail.${call.detail}`),
    value,
  });
}

function record(state, say, send) {
  const { call } = state.late;
  const { asked = 'off', locked: isLocked, tries_left: left } = state.day.phone_code ?? {};
  const lack = recordLack(call, state.day);
  return [
    lateAsk(say(asked === 'off' ? 'call.ask-record' : 'call.ask-code'), 'record'),
    h(
      'form',
      {
        key: 'record',
        novalidate: true,
        on: {
          submit: (event) => {
            event.preventDefault();
            send(lack ? { type: 'call-record-lacking' } : { type: 'call-submitted', at: event.timeStamp });
          },
        },
      },
      asked !== 'off' && !isLocked && codeField(call, asked, left, say, send),
      writtenDown(say('call.written', { ...call.values, change: changeWords(state, say), initials: state.day.worker.initials }), say),
      button(say(state.pending ? 'signing.busy' : 'call.press'), () => {}, { look: 'primary', type: 'submit', focus: 'call-press', isBusy: Boolean(state.pending) }),
    ),
  ];
}

const codeField = (call, asked, left, say, send) => [
  textField(
    say('call.code'),
    {
      id: 'call-code',
      value: call.code,
      most: 20,
      autocapitalize: 'characters',
      hint: say(`call.code-${asked}`),
      problem: isOfCode(call.problem) && codeProblem(call.problem, say),
    },
    { input: (event) => send({ type: 'call-code-typed', text: event.target.value }) },
  ),
  h('p', { class: 'code', key: 'code' }, groupedCode(call.code) || '····-····'),
  left !== undefined && left < 5 && h('p', { class: 'hint', key: 'left' }, say('call.tries-left', { n: left })),
];

const REMEDY = { 'code-misheard': 'say-again', 'code-unreadable': 'say-again' };
const codeProblem = (each, say) =>
  [say(`problem.${each.code}`), say(`remedy.${REMEDY[each.code] ?? 'new-code'}`)].join(' ');

/** What stood before and stands now, and what the voter's line says since. */
function done(state, say, send) {
  const { call } = state.late;
  const { done: answer } = call;
  const isChange = answer.effect === 'done' && call.lineId;
  return [
    lateAsk(say(answer.effect === 'already' ? 'call.stood-already' : 'call.is-done'), 'done'),
    h('p', { class: 'done-name', key: 'name' }, naming(state) || call.argument.trim()),
    isChange && beforeAfter(stood(answer.before, state, say), stood(answer.after, state, say), say, true),
    !call.lineId && h('p', { class: 'next', key: 'affidavit' }, say('call.affidavit-next')),
    answer.irregularity && h('p', { class: 'flags', key: 'irregular' }, say('call.irregular')),
    answer.verdict && h('p', { class: 'next', key: 'verdict' }, say('call.line-says', { outcome: say(`outcome.${answer.verdict.outcome}`) })),
    answers([
      call.lineId && {
        key: 'open',
        words: say('call.open-line'),
        press: () => send({ type: 'look-alike-opened', lineId: call.lineId, name: naming(state) }),
      },
      { key: 'next', words: say('call.next'), press: (event) => send({ type: 'late-went', screen: 'call', at: event.timeStamp }) },
      { key: 'back', words: say('late.to-lists'), press: (event) => send({ type: 'late-went', screen: 'overview', at: event.timeStamp }) },
    ]),
  ];
}

/** The one thing that was changed, in words. */
function stood(facts, { late: { call } }, say) {
  if (facts.marks) return facts.marks.length ? facts.marks.map((kind) => markWords(kind, say)) : say('mark.none');
  if ('removed' in facts) return say(facts.removed ? 'mark.removed' : 'mark.not-removed');
  const [value] = Object.values(facts);
  const words = value === null || value === '' ? say('change.blank') : String(value);
  return call.detail ? `${say(`detail.${call.detail}`)}: ${words}` : words;
}
