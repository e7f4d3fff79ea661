/** What is said of an hour on paper: that it begins, a row taken back, how many signatures it has. */

import { isLead } from '../logic/day.js';
import { valueOf } from '../logic/paper_forms.js';
import { openHour, rowsByPage, rowsOf } from '../logic/paper_state.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { filledIn, textField } from './fields.js';
import { h } from './paint.js';
import { besideWords, hoursAsk, hoursProblem, placeWords, spanWords } from './paper_hours_parts.js';

const field = (state, say, send, { name, label = name, most = 400, hint, ...more }) => {
  const { form } = state.paperHours;
  return textField(
    say(`hours-field.${label}`),
    { id: `hours-${name}`, value: valueOf(form, name), most, hint, problem: besideWords(form.problems[name], say), ...more },
    { input: (event) => send({ type: 'hours-form-typed', field: name, text: event.target.value }) },
  );
};

const form = (state, say, send, { kind, press, usual = '', content }) =>
  h(
    'form',
    { class: `paper ${kind}`, key: kind, novalidate: true, on: filledIn(() => state.pending || send({ type: 'hours-form-submitted', usual })) },
    content,
    button(say(state.pending ? 'signing.busy' : press), () => {}, { type: 'submit', look: 'primary', isBusy: Boolean(state.pending) }),
  );

/** Print first, then say why and from when. Whoever comes back from paper says until when, too. */
export function beginForm(state, say, send) {
  const { form: open, came } = state.paperHours;
  if (open.stage === 'newer') return newer(open.told, say, send);
  const earlier = came.hours.filter(({ finished }) => finished);
  const time = { most: 5, inputmode: 'numeric' };
  return [
    hoursAsk(say('on-paper.begin-ask'), 'begin'),
    h(
      'div',
      { class: 'print-first', key: 'print' },
      h('p', { class: 'next' }, say('on-paper.print-first')),
      h('div', { class: 'buttons' }, button(say('on-paper.print'), () => send({ type: 'hours-print-asked', language: say.language }), { key: 'print' })),
    ),
    form(state, say, send, {
      kind: 'begin',
      press: 'on-paper.begin-press',
      content: [
        field(state, say, send, { name: 'reason', hint: say('on-paper.reason-hint') }),
        field(state, say, send, { name: 'from', ...time, hint: say('on-paper.from-hint', { time: state.day.local_time ?? came.now }) }),
        field(state, say, send, { name: 'until', ...time, hint: say('on-paper.until-hint') }),
        field(state, say, send, { name: 'head', most: 9, inputmode: 'numeric', hint: say('on-paper.head-hint') }),
      ],
    }),
    hoursProblem(open.problem, say),
    earlier.length > 0 &&
      h('ul', { class: 'flags', key: 'earlier' }, earlier.map((hour) => h('li', { key: String(hour.begun_seq) }, say('on-paper.earlier', { span: spanWords(hour, say), n: hour.finished.lines, initials: hour.finished.initials })))),
  ];
}

/** The printed register shows more than this record: the number is read again first. */
const newer = (problem, say, send) => [
  hoursAsk(say('hours-wrong.paper-newer', { head: String(problem.head_seq), log: String(problem.log_seq) }), 'newer'),
  h('p', { class: 'next', key: 'means' }, say('on-paper.newer-means')),
  answers([
    { key: 'again', words: say('on-paper.newer-again'), isMain: true, press: (event) => send({ type: 'hours-head-again', at: event.timeStamp }) },
    { key: 'anyway', words: say('on-paper.newer-anyway'), press: (event) => send({ type: 'hours-begun-anyway', at: event.timeStamp }) },
  ]),
];

export function undoForm(state, say, send) {
  const { subject, problem } = state.paperHours.form;
  const usual = say('undo.usual');
  return [
    hoursAsk(say('on-paper.undo-ask', { name: subject.name || subject.said_number }), 'undo'),
    h('p', { class: 'next', key: 'place' }, placeWords(subject, say)),
    h('p', { class: 'next', key: 'means' }, say('on-paper.undo-means')),
    form(state, say, send, { kind: 'undo', press: 'undo.yes', usual, content: field(state, say, send, { name: 'reason', label: 'undo', hint: say('undo.why-hint', { usual }) }) }),
    hoursProblem(problem, say),
  ];
}

/** The signatures are counted on the paper itself; where the two differ the lead says why. */
export function finishForm(state, say, send) {
  const { stage, problem, told } = state.paperHours.form;
  const differs = stage === 'differs';
  return [
    hoursAsk(differs ? differWords(told, say) : say('on-paper.finish-ask'), 'finish'),
    differs && told.waiting.length > 0 && waiting(state, say, send),
    differs && h('p', { class: 'next', key: 'differs' }, say(isLead(state) ? 'on-paper.differs-lead' : 'on-paper.differs-worker')),
    form(state, say, send, {
      kind: 'finish',
      press: differs && isLead(state) ? 'on-paper.finish-anyway' : 'on-paper.finish-press',
      content: [
        field(state, say, send, { name: 'counted', most: 5, inputmode: 'numeric', hint: say('on-paper.counted-hint') }),
        differs && isLead(state) && field(state, say, send, { name: 'reason', label: 'differs' }),
      ],
    }),
    hoursProblem(problem, say),
    pages(state, say),
  ];
}

const differWords = ({ counted, rows }, say) =>
  counted === rows ? say('on-paper.agree-but-wait', { n: rows }) : say('on-paper.differ', { counted: String(counted), rows: String(rows) });

/** Rows that wait keep the hour open: the lead settles them. */
const waiting = (state, say, send) =>
  h(
    'div',
    { class: 'waiting', key: 'waiting' },
    h('p', { class: 'next' }, say('on-paper.rows-wait', { n: state.paperHours.form.told.waiting.length })),
    isLead(state) &&
      h(
        'div',
        { class: 'buttons' },
        rowsOf(state)
          .filter(({ effect, undone }) => effect === 'waits' && !undone)
          .map((row) => button(say('on-paper.settle-of', { name: row.name || row.said_number }), (event) => send({ type: 'hours-settle-wanted', number: row.number, at: event.timeStamp }), { key: String(row.number) })),
      ),
  );

/** Page by page: where the paper is counted, a slip is found soonest. */
function pages(state, say) {
  const all = rowsByPage(rowsOf(state));
  if (!openHour(state) || !all.length) return null;
  return h(
    'table',
    { class: 'by-page', key: 'pages' },
    h('caption', null, say('on-paper.by-page')),
    h('thead', null, h('tr', null, h('th', { scope: 'col' }, say('hours-field.page')), h('th', { scope: 'col' }, say('on-paper.keyed')))),
    h('tbody', null, all.map(([page, n]) => h('tr', null, h('th', { scope: 'row' }, String(page)), h('td', null, String(n))))),
  );
}
