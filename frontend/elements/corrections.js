/** The lead's corrections of a signature, each with what stands before and after it. */

import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { asked, dialogField, problemBeside } from './dialog_parts.js';
import { close, title } from './dialogs.js';
import { choiceField, textField } from './fields.js';
import { h } from './paint.js';
import { moveAmongAnswers } from './answers.js';
import { beforeAfter } from './written_down.js';

const WHYS = ['wrong_line', 'spoiled', 'other'];

const signedWords = (act, say) =>
  act
    ? say('written.signed', { time: act.local_time, station: act.station, initials: act.initials })
    : say('written.not-signed');

const who = (state) => h('p', { key: 'who' }, h('strong', null, state.sheet?.name ?? ''));

export function withdraw(state, say, send) {
  const { why } = state.dialog;
  const choices = WHYS.map((value) => ({ value, words: say(`why-withdrawn.${value}`) }));
  return asked(state, say, send, {
    heading: say('correct.withdraw'),
    yes: say('dialog.withdraw-yes'),
    // What is written down where the lead adds nothing to one of the usual whys.
    facts: { reason: why ? say(`why-withdrawn.${why}`) : '' },
    content: [
      who(state),
      choiceField(
        say('dialog.why'),
        { id: 'dialog-why', value: why, choices, problem: problemBeside(state, 'why', say) },
        (value) => send({ type: 'dialog-typed', field: 'why', text: value }),
      ),
      dialogField(state, say, send, {
        name: 'text',
        label: say(why && why !== 'other' ? 'dialog.reason-more' : 'dialog.reason'),
      }),
      beforeAfter(signedWords(state.sheet?.standing?.signature, say), say('written.free'), say),
      why === 'wrong_line' && h('p', { class: 'hint' }, say('dialog.rather-move')),
    ],
  });
}

/** The statement, the reason if one is wanted, and before and after, by kind of dialog. */
const STATEMENTS = {
  left: {
    yes: 'dialog.left-yes',
    before: (state, say) => signedWords(state.sheet.standing.signature, say),
    after: (_, say) => say('written.left'),
    reason: 'dialog.reason-if-said',
  },
  returned: {
    yes: 'dialog.returned-yes',
    before: (_, say) => say('written.left'),
    after: (state, say) => signedWords(state.sheet.standing.signature, say),
    reason: 'dialog.reason',
  },
  'form-given': { yes: 'dialog.form-given-yes' },
  'withdraw-provisional': {
    yes: 'dialog.withdraw-provisional-yes',
    before: ({ dialog: open }, say) => say('written.provisional-given', { envelope: open.envelope }),
    after: (_, say) => say('written.provisional-back'),
    reason: 'dialog.reason',
  },
};

export function withStatement(state, say, send) {
  const { kind, name } = state.dialog;
  const { yes, before, after, reason } = STATEMENTS[kind];
  // Its line may have been left while the answer was on its way.
  const isLineThere = !before || kind === 'withdraw-provisional' || state.sheet?.standing?.signature;
  return asked(state, say, send, {
    heading: say(`correct.${kind}`),
    yes: say(yes),
    content: [
      name ? h('p', { key: 'who' }, h('strong', null, name)) : who(state),
      h('p', { key: 'means' }, say(`correct-means.${kind}`)),
      before && isLineThere && beforeAfter(before(state, say), after(state, say), say),
      reason && dialogField(state, say, send, { name: 'text', label: say(reason) }),
    ],
  });
}

/** First the right line, then what changes on both, and one confirmation. */
export const move = (state, say, send) =>
  state.dialog.chosen ? confirmMove(state, say, send) : chooseLine(state, say, send);

function chooseLine(state, say, send) {
  const { search } = state.dialog;
  return h(
    'div',
    { key: 'choose', on: { keydown: moveAmongAnswers } },
    title(say('correct.move')),
    h('p', null, say('dialog.signed-here', { name: state.sheet?.name })),
    textField(
      say('dialog.right-line'),
      { id: 'dialog-search', value: search.text, most: 200, isPlain: true, leadsOn: true, hint: say('finder.hint') },
      { input: (event) => send({ type: 'right-line-typed', text: event.target.value }) },
    ),
    problemBox(say, search.problem, { isKept: false }),
    h('p', { class: 'hint', role: 'status' }, foundWords(search, say)),
    answers(
      search.matches.map((match) => ({
        key: match.line_id,
        words: [
          h('span', { class: 'name' }, match.name),
          h('span', { class: 'more' }, [
            match.address_protected ? say('note.protected') : match.address,
            ` · ${say(`outcome.${match.outcome}`)}`,
          ]),
        ],
        press: () => send({ type: 'right-line-chosen', lineId: match.line_id }),
      })),
    ),
    h('div', { class: 'buttons' }, button(say('dialog.no'), close(send), { key: 'no' })),
  );
}

function foundWords({ text, asked: number, answered, matches }, say) {
  if (!text.trim() || number !== answered) return say('dialog.type-right');
  return say(matches.length ? 'dialog.choose-right' : 'dialog.no-right');
}

function confirmMove(state, say, send) {
  const { chosen } = state.dialog;
  const order = say(`steps.${state.day.policy?.date_order ?? 'month_first'}`);
  const act = state.sheet?.standing?.signature;
  const both = (wrong, right) => [
    say('written.line', { name: state.sheet?.name, what: wrong }),
    say('written.line', { name: chosen.name, what: right }),
  ];
  return asked(state, say, send, {
    heading: say('correct.move'),
    yes: say('dialog.move-yes'),
    content: [
      beforeAfter(
        both(signedWords(act, say), say('written.not-signed')),
        both(say('written.free'), say('written.signed-moved')),
        say,
      ),
      chosen.look_alikes > 0 &&
        dialogField(state, say, send, {
          name: 'birthDate',
          label: say('dialog.birth-date', { n: chosen.look_alikes }),
          hint: order,
          most: 40,
        }),
      dialogField(state, say, send, { name: 'text', label: say('dialog.reason') }),
    ],
  });
}

