/** One row that needs a person: what the list says, which lines could be meant, and the decision. */

import { isSoughtInVain } from '../logic/seeking.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { textField } from './fields.js';
import { addressWords, bornWords, contradictionWords, lateAsk, onLineWords, onListWords, personWords, sideBySide } from './late_parts.js';
import { faultWords, reasonWords } from './late_reasons.js';
import { h } from './paint.js';
import { writtenDown } from './written_down.js';

export function decideRow(state, say, send) {
  const { list: open } = state.late;
  const { row, stage } = open;
  const key = `row-${row.row_number}-${stage ?? 'which'}`;
  return [
    lateAsk(say(askKey(stage, open.preview), { row: row.row_number }), key),
    h('p', { class: 'hint', key: 'left' }, say('listed.rows-left', { n: open.preview.list.tally.open })),
    h('ul', { class: 'reasons', key: 'why' }, reasonsOf(row, say).map((words) => h('li', null, words))),
    // A line that stands alone is compared with the list; of several each is an answer below.
    sideBySide(
      [say('listed.list-says'), readWords(row, say)],
      [say('listed.line-says'), row.person ? personFacts(row.person, say) : say(row.candidates.length ? 'listed.several-lines' : 'listed.no-line')],
    ),
    row.contradiction && contradicted(row, state, say),
    STAGES[stage ?? 'which'](state, say, send),
  ];
}

const isAdding = ({ list }) => list.kind === 'supplemental';

function askKey(stage, preview) {
  if (stage === 'refuse') return 'listed.why-off';
  return isAdding(preview) ? 'listed.whom-added' : 'listed.whom';
}

const reasonsOf = (row, say) => [
  ...row.reasons.map((each) => reasonWords(each, say)),
  ...row.faults.map((fault) => say('listed.fault', { found: fault.found, sentence: faultWords(fault, say) })),
];

const readWords = ({ read }, say) => [
  h('strong', null, read.name || '–'),
  bornWords(read.birth_date, say),
  read.voter_number,
  read.reason,
];

const personFacts = (person, say) => [
  h('strong', null, person.name),
  bornWords(person.birth_date, say),
  person.voter_number,
  addressWords(person, say),
  say(`standing.${person.standing}`),
];

const contradicted = ({ contradiction }, { day }, say) =>
  h(
    'div',
    { class: 'contradiction', key: 'contradiction' },
    h('p', null, h('strong', null, contradictionWords(contradiction, say))),
    sideBySide(
      [say('listed.on-line'), onLineWords(contradiction.on_line, say, day.election.time_zone)],
      [say('listed.on-list'), onListWords(contradiction.on_list, say)],
    ),
  );

const STAGES = { which, seek, refuse };

const decided = (decision, send) => (event) => send({ type: 'row-decided', decision, at: event.timeStamp });
const staged = (stage, send) => (event) => send({ type: 'row-staged', stage, at: event.timeStamp });

function which(state, say, send) {
  const { row, preview } = state.late.list;
  const people = row.candidates.length ? row.candidates : [row.person].filter(Boolean);
  return answers(
    [
      ...people.map((person) => ({
        key: person.line_id,
        words: [h('span', null, say(isAdding(preview) ? 'listed.this-person' : 'listed.this-line')), ...personWords(person, say)],
        press: decided({ line_id: person.line_id }, send),
      })),
      row.may_add && { key: 'add', words: say('listed.add'), press: decided({ add: true }, send) },
      { key: 'seek', words: say('listed.another-line'), press: staged('seek', send) },
      { key: 'refuse', words: say('listed.leave-off'), press: staged('refuse', send) },
    ],
    { isBusy: Boolean(state.pending) },
  );
}

function seek(state, say, send) {
  return finder(state, say, send, decidedLine(send));
}

const decidedLine = (send) => (match, event) =>
  send({ type: 'row-decided', decision: { line_id: match.line_id }, at: event.timeStamp });

/** The small finder: type, arrow down to the lines, Enter. `more` are answers beside the lines. */
export function finder({ late, pending }, say, send, choose, more = []) {
  const { seek: open } = late;
  return [
    textField(
      say('listed.seek'),
      { id: 'sought', value: open.text, most: 200, isPlain: true, leadsOn: true, hint: say('listed.seek-hint') },
      { input: (event) => send({ type: 'sought-typed', text: event.target.value }) },
    ),
    problemBox(say, open.problem, { isKept: false }),
    h('p', { class: 'hint', role: 'status', key: 'vain' }, isSoughtInVain(open) ? say('finder.nothing') : ''),
    answers(
      [
        ...open.matches.map((match) => ({
          key: match.line_id,
          words: personWords(match, say),
          press: (event) => choose(match, event),
        })),
        ...more,
      ],
      { isBusy: Boolean(pending) },
    ),
  ];
}

function refuse(state, say, send) {
  return reasonForm(state, say, send, {
    label: say('listed.reason-off'),
    yes: say('listed.leave-off-yes'),
    submit: (reason, at) => send({ type: 'row-decided', decision: { refuse: reason }, at }),
  });
}

function reasonForm(state, say, send, { label, yes, submit }) {
  const { reason, lack } = state.late.list;
  return h(
    'form',
    {
      key: 'reason',
      novalidate: true,
      on: {
        submit: (event) => {
          event.preventDefault();
          if (reason.trim()) submit(reason.trim(), event.timeStamp);
          else send({ type: 'late-reason-lacking' });
        },
      },
    },
    textField(
      label,
      { id: 'late-reason', value: reason, most: 400, problem: lack && say('lack.reason') },
      { input: (event) => send({ type: 'late-reason-typed', text: event.target.value }) },
    ),
    button(yes, () => {}, { look: 'primary', type: 'submit', isBusy: Boolean(state.pending) }),
  );
}

/** Somebody whom the corrected list no longer names: is what the earlier list did taken back? */
export function decideGone(state, say, send) {
  const { gone, stage } = state.late.list;
  return [
    lateAsk(say(`listed.gone-${stage}-ask`, { name: gone.person.name }), `gone-${gone.line_id}`),
    sideBySide(
      [say('listed.earlier-list'), say('listed.earlier-row', { row: gone.row_number })],
      [say('listed.corrected-list'), say('listed.not-named')],
    ),
    h('p', { key: 'person' }, personWords(gone.person, say)),
    writtenDown(say(`listed.gone-${stage}-written`, { name: gone.person.name }), say),
    reasonForm(state, say, send, {
      label: say('dialog.reason'),
      yes: say(`listed.gone-${stage}`),
      submit: (_, at) => send({ type: 'gone-decided', at }),
    }),
  ];
}
