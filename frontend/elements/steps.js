/** The steps before signing, one at a time: what to ask, and the answers as buttons. */

import { activeStep, namesToChoose } from '../logic/sheet.js';
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
    STEPS[step.code](state, say, send, step),
  );
}

const STEPS = {
  'in-line-at-cut-off': (state, say, send) =>
    choices(state, send, 'in_line_at_cut_off', [
      [true, say('steps.in-line-yes')],
      [false, say('steps.in-line-no')],
    ]),
  'tell-apart': tellApart,
  'first-name': firstNames,
  identification: (state, say, send, step) =>
    choices(state, send, 'identification', [
      ['shown', say('steps.shown')],
      ['not_shown', say('steps.not-shown')],
      ...(step.facts.required ? [['affirmed', say('steps.affirmed')]] : []),
    ]),
  'address-confirmation': (state, say, send) =>
    h(
      'div',
      { class: 'buttons' },
      button(say('steps.card-completed'), (event) => send({ type: 'card-completed', at: event.timeStamp }), {
        look: 'primary',
        isBusy: isBusy(state),
      }),
    ),
  assistance: (state, say, send) =>
    state.sheet.helper ? helperForm(state, say, send) : helperQuestion(state, say, send),
};

const isBusy = (state) => state.sheet.isBusy || Boolean(state.pending);

const choices = (state, send, said, answers) =>
  h(
    'div',
    { class: 'buttons' },
    answers.map(([value, words]) =>
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
  return namesToChoose(state.sheet).map(({ lineId, given, name, address }) =>
    button(
      [h('span', { class: 'name' }, given), h('span', null, [name, address].filter(Boolean).join(' · '))],
      (event) => send({ type: 'first-name-chosen', lineId, at: event.timeStamp }),
      { key: lineId, look: 'line', isBusy: isBusy(state) },
    ),
  );
}

const STEPS_OF_KEY = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 };

/** From the question to its answers and among them, as Tab does. In a field arrows move the caret. */
export function moveAmongAnswers(event) {
  const by = STEPS_OF_KEY[event.key];
  const { target, currentTarget } = event;
  if (!by || target.matches('input') || !target.closest('.step, #next')) return;
  const answers = [...currentTarget.querySelectorAll('.step button')];
  if (!answers.length) return;
  event.preventDefault();
  const from = target.closest('#next') ? (by > 0 ? -1 : 0) : answers.indexOf(target);
  answers[(from + by + answers.length) % answers.length].focus();
}

const helperQuestion = (state, say, send) =>
  h(
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

function helperForm(state, say, send) {
  const { helper } = state.sheet;
  const record = (event) => send({ type: 'helper-recorded', at: event.timeStamp });
  return h(
    'div',
    { class: 'helper', key: 'helper' },
    field(
      say('steps.helper-name'),
      { id: 'helper-name', value: helper.name, maxlength: '80' },
      {
        input: (event) => send({ type: 'helper-typed', text: event.target.value }),
        keydown: (event) => {
          if (event.key !== 'Enter') return;
          // Or the same Enter would press the button that now gets the focus.
          event.preventDefault();
          if (!event.repeat && helper.name.trim()) send({ type: 'helper-named' });
        },
      },
    ),
    h('signature-pad', {
      class: 'small',
      role: 'img',
      'aria-label': say('steps.helper-pad'),
      props: {
        strokes: helper.strokes,
        ondrawn: (strokes) => send({ type: 'helper-drawn', strokes }),
      },
    }),
    h(
      'div',
      { class: 'buttons' },
      button(say(helper.strokes.length ? 'steps.helper-record' : 'steps.helper-paper'), record, {
        key: 'record',
        look: 'primary',
        focus: 'helper-primary',
        isBusy: isBusy(state) || !helper.name.trim(),
      }),
      helper.strokes.length > 0 &&
        button(say('signing.redo'), () => send({ type: 'helper-drawn', strokes: [] }), { key: 'redo' }),
      button(say('steps.helper-none'), (event) => send({ type: 'helper-dropped', at: event.timeStamp }), { key: 'none' }),
    ),
  );
}
