/** A supplemental page being keyed in: what became of the row before, and a form for the next. */

import { isLead } from '../logic/day.js';
import { personFields } from '../logic/page_person.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { choiceField, filledIn, textField, tickField } from './fields.js';
import { contradictionWords, lateAsk, onLineWords, onListWords, sideBySide } from './late_parts.js';
import { reasonWords } from './late_reasons.js';
import { h } from './paint.js';

export function pageRows(state, say, send) {
  const { person } = state.late.keying;
  return [
    lastRow(state, say),
    problemBox(say, person.problem, { isKept: false }),
    person.twice ? twice(person.twice, say, send) : row(state, say, send),
  ];
}

const row = (state, say, send) =>
  h(
    'form',
    {
      class: 'paper person',
      key: 'person',
      novalidate: true,
      on: filledIn((event) => {
        if (!state.pending) send({ type: 'person-submitted', at: event.timeStamp });
      }),
    },
    personFields(state.late.keying.person.values, state.day).map((each) => field(each, state, say, send)),
    h(
      'div',
      { class: 'buttons', key: 'buttons' },
      button(say(state.pending ? 'signing.busy' : 'page.key'), () => {}, { look: 'primary', type: 'submit', isBusy: Boolean(state.pending) }),
      button(say('page.unreadable'), () => send({ type: 'person-unreadable' }), { look: 'quiet', isBusy: Boolean(state.pending) }),
    ),
  );

function field({ name, label, kind, most, choices }, { late, day }, say, send) {
  const { values, problems } = late.keying.person;
  const change = (value) => send({ type: 'person-typed', field: name, value });
  const own = { id: `person-${name}`, value: values[name], problem: problems[name] && problemWords(problems[name], say) };
  if (kind === 'tick') return tickField(say(label), own, change);
  if (kind === 'choice') {
    return choiceField(say(label), { ...own, choices: choices.map((value) => ({ value, words: say('form.button', { button: value }) })) }, change);
  }
  const isFirst = name === 'voter_number';
  const hint = name === 'birth_date' && say(`steps.${day.policy?.date_order ?? 'month_first'}`);
  return textField(
    say(label),
    { ...own, most, hint, ...(isFirst && { 'data-focus': 'keying-box', 'data-keeps-text': '' }) },
    { input: (event) => change(event.target.value) },
  );
}

/** Beside a field it is told as the other forms tell it, if they do. */
function problemWords(code, say) {
  if (say.has(`lack.${code}`)) return say(`lack.${code}`);
  return say(say.has(`fault.${code}`) ? `fault.${code}` : 'problem.unknown');
}

const twice = (before, say, send) => [
  lateAsk(say('keying.twice', { name: before.name, row: before.row_number, time: before.local_time, initials: before.initials }), 'twice'),
  answers([
    { key: 'twice', words: say('page.twice-yes'), press: () => send({ type: 'person-twice' }) },
    { key: 'back', words: say('page.twice-no'), press: (event) => send({ type: 'late-back', at: event.timeStamp }) },
  ]),
];

/** What became of the row before, so that a slip is seen while the page is still there. */
function lastRow(state, say) {
  const { last } = state.late.keying;
  if (!last) return h('p', { class: 'next', key: 'begin' }, say('page.begin'));
  const { row: keyed, name, isUndone } = last;
  if (isUndone) return h('p', { class: 'next', key: `undone-${keyed.row_number}` }, h('strong', null, say('keying.is-undone', { name })));
  const facts = { row: keyed.row_number, name: keyed.person?.name ?? name, number: keyed.person?.voter_number };
  return h(
    'div',
    { class: `last ${keyed.effect}`, key: `last-${keyed.row_number}` },
    h('p', { class: 'next' }, h('strong', null, say(`page.did-${keyed.effect}`, { ...facts, ...(keyed.effect === 'settle' && { name }) }))),
    keyed.effect === 'settle' && trap(keyed, state, say),
  );
}

/** Why the row waits: both facts, and whom to tell. */
const trap = (keyed, state, say) =>
  h(
    'div',
    { class: 'contradiction' },
    keyed.contradiction
      ? clash(keyed, state, say)
      : h('ul', { class: 'reasons' }, keyed.reasons.map((each) => h('li', null, reasonWords(each, say)))),
    h('p', null, say(isLead(state) ? 'page.you-lead' : 'page.tell-lead')),
  );

const personOn = ({ name, voter_number: number }) => h('strong', null, [name, number].filter(Boolean).join(' · '));

const clash = ({ contradiction, person, read }, { day }, say) => [
  h('p', null, h('strong', null, contradictionWords(contradiction, say))),
  sideBySide(
    [say('listed.on-line'), [person && personOn(person), onLineWords(contradiction.on_line, say, day.election.time_zone)]],
    [say('listed.on-list'), [personOn(read), onListWords(contradiction.on_list, say)]],
  ),
];
