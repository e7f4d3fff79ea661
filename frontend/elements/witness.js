/** A voter who cannot sign: the mark, then the witness's name and signature, then one button. */

import { placeOfProblem } from '../logic/pending.js';
import { countPoints } from '../logic/strokes.js';
import { problemWords } from '../logic/coded.js';
import { witnessLacks } from '../logic/witness.js';
import { button } from './controls.js';
import { choiceField, filledIn, textField } from './fields.js';
import { h } from './paint.js';

const MARKS = ['drawn', 'paper', 'none'];

export function witnessForm(state, say, send) {
  const { sheet } = state;
  const { witness } = sheet;
  const isBusy = sheet.isBusy || Boolean(state.pending);
  const complete = (done) => {
    const problems = witnessLacks(sheet);
    send(Object.keys(problems).length ? { type: 'witness-lacking', problems } : done);
  };
  const problem = (field) => witness.problems[field] && say(`witness.lack-${witness.problems[field]}`);
  return h(
    'form',
    { class: 'helper witness', key: 'witness', novalidate: true, on: filledIn(() => complete({ type: 'witness-read' })) },
    choiceField(
      say('witness.mark'),
      {
        id: 'witness-mark',
        value: witness.mark,
        problem: problem('mark'),
        choices: MARKS.map((value) => ({ value, words: say(`witness.${value}`) })),
      },
      (value) => send({ type: 'witness-noted', field: 'mark', value }),
    ),
    witness.mark === 'drawn' && pad(say('witness.mark-pad'), 'mark-pad', sheet.strokes, witness.strokes, (strokes) => send({ type: 'signature-drawn', strokes })),
    textField(
      say('steps.witness-name'),
      { id: 'witness-name', value: witness.name, most: 80, hint: say('witness.who'), problem: problem('name') ?? refusal(sheet, say) },
      { input: (event) => send({ type: 'witness-noted', field: 'name', value: event.target.value }) },
    ),
    h('p', { class: 'pad-label' }, say('witness.signs')),
    pad(say('witness.pad'), 'witness-pad', witness.strokes, sheet.strokes, (strokes) => send({ type: 'witness-drawn', strokes })),
    h(
      'div',
      { class: 'buttons' },
      button(say(pressWords(witness)), (event) => complete({ type: 'mark-recorded', at: event.timeStamp }), {
        key: 'record',
        look: 'primary',
        focus: 'primary',
        isBusy,
      }),
      redo(sheet, say, send),
      button(say('witness.back'), (event) => send({ type: 'witness-dropped', at: event.timeStamp }), { key: 'back', isBusy }),
    ),
  );
}

/** `others` is what stands on the other pad: together they must fit one record. */
const pad = (label, key, strokes, others, ondrawn) =>
  h('signature-pad', {
    class: 'small',
    key,
    role: 'img',
    'aria-label': label,
    props: { strokes, taken: countPoints(others), ondrawn },
  });

/** What the server said of the name that was sent. */
const refusal = ({ problem }, say) =>
  problem && placeOfProblem(problem) === 'witness-name' ? problemWords(say, problem).title : undefined;

function pressWords({ mark, strokes }) {
  if (!strokes.length) return 'witness.record-paper';
  return mark === 'none' ? 'witness.record-none' : 'witness.record';
}

/** Empties both pads: the voter's only where it is one of this form. */
function redo({ witness, strokes }, say, send) {
  const isMarkDrawn = witness.mark === 'drawn' && strokes.length > 0;
  if (!isMarkDrawn && !witness.strokes.length) return null;
  const empty = () => {
    if (isMarkDrawn) send({ type: 'signature-drawn', strokes: [] });
    send({ type: 'witness-drawn', strokes: [] });
  };
  return button(say('signing.redo'), empty, { key: 'redo' });
}
