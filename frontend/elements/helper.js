/** Who helps in the booth: asked in order, the helper's signature last. */

import { helperLacks } from '../logic/helper.js';
import { button } from './controls.js';
import { choiceField, filledIn, textField, tickField } from './fields.js';
import { h } from './paint.js';

const IS = ['other', 'employer_or_union'];

export function helperForm(state, say, send) {
  const { helper } = state.sheet;
  const isBusy = state.sheet.isBusy || Boolean(state.pending);
  const record = (at) => {
    const problems = helperLacks(helper);
    const isLacking = Object.keys(problems).length > 0;
    send(isLacking ? { type: 'helper-lacking', problems } : { type: 'helper-recorded', at });
  };
  const note = (field) => (value) => send({ type: 'helper-noted', field, value });
  const typed = (field) => ({ input: (event) => note(field)(event.target.value) });
  const problem = (field) => helper.problems[field] && say(`lack.${helper.problems[field]}`);
  // An employer is told at once: nobody should sign first and be refused then.
  const isRefused = helper.is === 'employer_or_union';
  return h(
    'form',
    {
      class: 'helper',
      key: 'helper',
      novalidate: true,
      on: filledIn(() => {
        const problems = helperLacks(helper);
        send(Object.keys(problems).length ? { type: 'helper-lacking', problems } : { type: 'helper-read' });
      }),
    },
    textField(say('steps.helper-name'), { id: 'helper-name', value: helper.name, most: 80, problem: problem('name') }, typed('name')),
    choiceField(
      say('steps.helper-is'),
      {
        id: 'helper-is',
        value: helper.is,
        problem: isRefused ? say('lack.helper-not-allowed') : problem('is'),
        choices: IS.map((value) => ({ value, words: say(`helper.${value}`) })),
      },
      note('is'),
    ),
    !helper.isPrinted && [
      textField(
        say('steps.helper-reason'),
        { id: 'helper-reason', value: helper.reason, most: 400, hint: say('steps.helper-reason-hint'), problem: problem('reason') },
        typed('reason'),
      ),
      tickField(say('steps.helper-statement'), { id: 'helper-statement', value: helper.hasStatement }, note('hasStatement')),
    ],
    h('p', { class: 'pad-label' }, say('steps.helper-signs')),
    h('signature-pad', {
      class: 'small',
      role: 'img',
      'aria-label': say('steps.helper-pad'),
      props: { strokes: helper.strokes, ondrawn: (strokes) => send({ type: 'helper-drawn', strokes }) },
    }),
    h(
      'div',
      { class: 'buttons' },
      button(
        say(helper.strokes.length ? 'steps.helper-record' : 'steps.helper-paper'),
        (event) => record(event.timeStamp),
        { key: 'record', look: 'primary', focus: 'helper-primary', isBusy },
      ),
      helper.strokes.length > 0 &&
        button(say('signing.redo'), () => send({ type: 'helper-drawn', strokes: [] }), { key: 'redo' }),
      button(say('steps.helper-none'), (event) => send({ type: 'helper-dropped', at: event.timeStamp }), { key: 'none' }),
    ),
  );
}
