/** The parts that a dialog which records something is made of: its reason, its two buttons. */

import { dialogLack } from '../logic/dialog.js';
import { problemWords } from '../logic/coded.js';
import { button, problemBox } from './controls.js';
import { close, title } from './dialogs.js';
import { textField } from './fields.js';
import { h } from './paint.js';

// The problems that are about one field and are told beside it.
const FIELD_OF = {
  'reason-missing': 'text',
  'reference-missing': 'reference',
  'until-missing': 'until',
  'birth-date-missing': 'birthDate',
  'birth-date-unreadable': 'birthDate',
  'why-missing': 'why',
  'kind-missing': 'why',
  'what-missing': 'text',
  'how-missing': 'text',
  'number-missing': 'number',
  'pin-missing': 'pin',
  'wrong-pin': 'pin',
  'pin-locked': 'pin',
  'pin-wait': 'pin',
};

export function problemBeside(state, field, say) {
  const { problem } = state.dialog;
  if (!problem || FIELD_OF[problem.code] !== field) return null;
  const { title: what, next } = problemWords(say, problem);
  return `${what} ${next}`;
}

/** A dialog that records one thing: `content` above, and Enter in a field confirms. */
export function asked(state, say, send, { heading, yes, content, facts = {}, busy = say('signing.busy') }) {
  const { dialog: open, pending } = state;
  const isTold = !FIELD_OF[open.problem?.code];
  const confirm = () => {
    const lack = dialogLack(open);
    send(lack ? { type: 'dialog-lacking', ...lack } : { type: 'dialog-confirmed', ...facts });
  };
  return h(
    'form',
    {
      key: open.kind,
      novalidate: true,
      on: {
        submit: (event) => {
          event.preventDefault();
          if (!pending) confirm();
        },
      },
    },
    title(heading),
    content,
    isTold && problemBox(say, open.problem, { isKept: false }),
    h(
      'div',
      { class: 'buttons', key: 'buttons' },
      button(say('dialog.no'), close(send), { key: 'no' }),
      button(pending ? busy : yes, () => {}, {
        key: 'yes',
        look: 'primary',
        type: 'submit',
        isBusy: Boolean(pending),
      }),
    ),
  );
}

/** A field of the dialog's own state. */
export const dialogField = (state, say, send, { name, label, most = 400, hint }) =>
  textField(
    label,
    {
      id: `dialog-${name}`,
      value: state.dialog[name],
      most,
      hint,
      problem: problemBeside(state, name, say),
    },
    { input: (event) => send({ type: 'dialog-typed', field: name, text: event.target.value }) },
  );
