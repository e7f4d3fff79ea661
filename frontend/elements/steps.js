/** The steps before signing, one at a time: what to ask, and the answers as buttons. */

import { activeStep, addressOf, namesToChoose } from '../logic/sheet.js';
import { kindsWords } from '../logic/coded.js';
import { button, field } from './controls.js';
import { h } from './paint.js';

export const stepsDone = (open, say) =>
  open.settled.length > 0 &&
  h(
    'ul',
    { class: 'done', key: 'done' },
    open.settled.map((code) => h('li', { key: code }, say('steps.done', { step: say(`short.${code}`) }))),
  );

/** The step that is due now, or nothing. The question has the focus, and no answer. */
export function stepNow(state, say, send) {
  const step = activeStep(state.sheet);
  if (!step) return null;
  return h(
    'div',
    { class: 'step', key: `step-${step.code}`, role: 'group', 'aria-labelledby': 'next' },
    STEPS[step.code]
      ? STEPS[step.code](state, say, send, step)
      : [besides(state, step, say), choices(state, send, stepAnswers(step, say)), unasked(state, say, send)],
  );
}

/** The answers of a step that is settled by one: `{ said, value, words }` each. */
export const stepAnswers = (step, say) => ANSWERS[step.code](step.facts, say);

const ANSWERS = {
  'in-line-at-cut-off': (_, say) => [
    { said: 'in_line_at_cut_off', value: true, words: say('steps.in-line-yes') },
    { said: 'in_line_at_cut_off', value: false, words: say('steps.in-line-no') },
  ],
  identification: ({ required: isRequired, may_affirm: mayAffirm }, say) => [
    { said: 'identification', value: 'shown', words: say('steps.shown') },
    { said: 'identification', value: 'not_shown', words: say('steps.not-shown') },
    ...(isRequired && mayAffirm !== false
      ? [{ said: 'identification', value: 'affirmed', words: say('steps.affirmed') }]
      : []),
  ],
  'affirm-address': ({ moved }, say) => [
    { said: 'address_affirmed', value: true, words: say(`steps.address-affirmed-${moved ?? 'no'}`) },
    { said: 'address_affirmed', value: false, words: say(`steps.address-refused-${moved ?? 'no'}`) },
  ],
  'ask-moved': (_, say) =>
    ['no', 'within', 'outside'].map((value) => ({ said: 'moved', value, words: say(`steps.moved-${value}`) })),
};

/** What helps to answer: the documents that count, or the address that is asked about. */
function besides({ sheet: open }, { code, facts }, say) {
  if (code === 'identification' && facts.kinds?.length) {
    return h('ul', { class: 'kinds' }, kindsWords(say, facts.kinds).map((words) => h('li', null, words)));
  }
  if (code !== 'affirm-address' || facts.moved === 'within') return null;
  return h('p', { class: 'large-fact' }, h('strong', null, addressOf(open.line) || say('note.protected')));
}

/** The worker asked about a move of their own accord, and may take the question back. */
const unasked = ({ sheet: open }, say, send) =>
  open.isMoveAsked &&
  h(
    'div',
    { class: 'buttons' },
    button(say('steps.not-moved'), (event) => send({ type: 'move-untold', at: event.timeStamp }), { look: 'quiet' }),
  );

const STEPS = {
  'tell-apart': tellApart,
  'first-name': firstNames,
  'address-confirmation': (state, say, send) =>
    h(
      'div',
      { class: 'buttons' },
      button(say('steps.card-completed'), (event) => send({ type: 'card-completed', at: event.timeStamp }), {
        look: 'primary',
        isBusy: isBusy(state),
      }),
    ),
  assistance: helperQuestion,
};

const isBusy = (state) => state.sheet.isBusy || Boolean(state.pending);

const choices = (state, send, answers) =>
  h(
    'div',
    { class: 'buttons' },
    answers.map(({ said, value, words }) =>
      button(words, (event) => send({ type: 'answered', said, value, at: event.timeStamp }), {
        key: String(value),
        isBusy: isBusy(state),
      }),
    ),
  );

function tellApart(state, say, send) {
  const { sheet: open, day } = state;
  const isWrong = ['birth-date-unreadable', 'birth-date-missing'].includes(open.problem?.code);
  const order = say(`steps.${day.policy?.date_order ?? 'month_first'}`);
  return h(
    'form',
    {
      novalidate: true,
      on: {
        submit: (event) => {
          event.preventDefault();
          const value = open.birthDateText.trim();
          if (value) send({ type: 'answered', said: 'birth_date', value, at: event.timeStamp });
          else send({ type: 'birth-date-missing' });
        },
      },
    },
    field(
      say('steps.birth-date-said'),
      {
        id: 'birth-date',
        'data-focus': 'step',
        value: open.birthDateText,
        hint: order,
        maxlength: '40',
        isWrong,
      },
      { input: (event) => send({ type: 'birth-date-typed', text: event.target.value }) },
    ),
    button(say('steps.compare'), () => {}, { look: 'primary', type: 'submit', isBusy: isBusy(state) }),
  );
}

/** Nothing says which of the names is on this line: the voter's spelling decides, not the screen. */
function firstNames(state, say, send) {
  return namesToChoose(state.sheet).map(({ lineId, given, name, address, isProtected }) =>
    button(
      [
        h('span', { class: 'name' }, given),
        h('span', null, [name, isProtected ? say('note.protected') : address].filter(Boolean).join(' · ')),
      ],
      (event) => send({ type: 'first-name-chosen', lineId, at: event.timeStamp }),
      { key: lineId, look: 'line', isBusy: isBusy(state) },
    ),
  );
}

function helperQuestion(state, say, send) {
  return h(
    'div',
    { class: 'buttons' },
    button(say('steps.helper-no'), (event) => send({ type: 'no-helper', at: event.timeStamp }), {
      key: 'no',
      isBusy: isBusy(state),
    }),
    button(say('steps.helper-yes'), (event) => send({ type: 'helper-wanted', at: event.timeStamp }), {
      key: 'yes',
      isBusy: isBusy(state),
    }),
  );
}
