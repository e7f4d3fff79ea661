/** One signature of a page being keyed: its place, the one box, and what lies beneath them. */

import { nameOf } from '../logic/paper_row.js';
import { openHour } from '../logic/paper_state.js';
import { SHOWN_LINES } from '../logic/keying.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { textField } from './fields.js';
import { personWords } from './late_parts.js';
import { lineShown, rowKeys } from './keying.js';
import { h } from './paint.js';
import { besideWords, hoursProblem, placeWords } from './paper_hours_parts.js';
import { nobodyForm, offForm, refusedRow, stepAsked, twiceAsked, whyForm } from './paper_questions.js';
import { rowsKeyed, undoEvent } from './paper_rows.js';

export const keyingRow = (state, say, send) =>
  h(
    'div',
    { class: 'catching-up', key: 'catching-up' },
    h(
      'div',
      { class: 'next-row', key: 'next-row' },
      heading(state, say),
      h('div', { class: 'row-fields', key: 'fields' }, places(state, say, send), box(state, say, send)),
      h('div', { class: 'keyed', key: 'beneath' }, beneath(state, say, send)),
      // While something is asked there is nothing else to press.
      WITH_FOOT.has(state.paperHours.row.stage) && foot(state, say, send),
    ),
    rowsKeyed(state, say, send),
  );

/** How far it has come; or which row that waits is being settled. */
function heading(state, say) {
  const { settles } = state.paperHours.row;
  if (settles) {
    return h(
      'div',
      { class: 'settles', key: 'settles' },
      h('p', { class: 'next' }, h('strong', null, say('on-paper.settles', { row: settles.number, name: settles.name || settles.said_number }))),
      h('p', { class: 'hint' }, [placeWords(settles, say), settles.said_number].filter(Boolean).join(' · ')),
    );
  }
  const { standing, signed, duplicates, waiting } = openHour(state).tally;
  return h(
    'p',
    { class: 'count', key: 'count', role: 'status' },
    h('strong', null, say('on-paper.count', { n: standing })),
    ' ',
    [say('on-paper.count-signed', { n: signed }), duplicates > 0 && say('on-paper.count-duplicates', { n: duplicates }), waiting > 0 && say('on-paper.count-waiting', { n: waiting })].filter(Boolean).join(', '),
  );
}

const MOST = { page: 5, order: 4, time: 12 };

function places(state, say, send) {
  const { place, problems, settles, isSending } = state.paperHours.row;
  if (settles) return null;
  return ['page', 'order', 'time'].map((field) =>
    textField(
      say(`hours-field.${field}`),
      {
        id: `hours-${field}`,
        value: place[field],
        most: MOST[field],
        inputmode: 'numeric',
        readonly: isSending,
        problem: besideWords(problems[field], say),
      },
      {
        input: (event) => send({ type: 'hours-place-typed', field, text: event.target.value }),
        focus: (event) => event.target.select(),
        keydown: (event) => placeKey(event, field, send),
      },
    ),
  );
}

/** Enter goes on to the next field that is still to be typed. */
function placeKey(event, field, send) {
  if (event.key !== 'Enter' || event.isComposing) return;
  event.preventDefault();
  if (!event.repeat) send({ type: 'hours-place-entered', field });
}

const SENT = { entered: 'hours-entered', others: 'hours-others', digit: 'hours-digit' };

function keyDown(event, state, send) {
  const { stage, lastKeyAt } = state.paperHours.row;
  rowKeys(event, { isChoosing: stage === 'several', lastKeyAt, sent: SENT }, send);
}

const box = (state, say, send) =>
  h(
    'div',
    { class: 'field box', key: 'box' },
    h('label', { for: 'hours-box' }, say('on-paper.label')),
    h('input', {
      id: 'hours-box',
      type: 'text',
      autocomplete: 'off',
      autocapitalize: 'off',
      spellcheck: 'false',
      maxlength: '200',
      'data-focus': 'keying-box',
      'aria-describedby': 'hours-box-hint',
      readonly: state.paperHours.row.isSending,
      props: { value: state.paperHours.row.text },
      on: {
        input: (event) => send({ type: 'hours-typed', text: event.target.value, at: event.timeStamp }),
        keydown: (event) => keyDown(event, state, send),
      },
    }),
    h('p', { class: 'hint', id: 'hours-box-hint', key: 'hint' }, say('keying.hint')),
  );

const BENEATH = {
  type: lastRow,
  looking: lastRow,
  shown,
  several,
  ask: stepAsked,
  why: whyForm,
  refused: refusedRow,
  twice: twiceAsked,
  nobody: nobodyForm,
  off: offForm,
};

const WITH_FOOT = new Set(['type', 'looking', 'shown', 'several']);

function beneath(state, say, send) {
  const { row } = state.paperHours;
  return [
    row.notKeyed && h('p', { class: 'problem', key: 'not-keyed' }, say('on-paper.not-keyed', { name: row.notKeyed })),
    hoursProblem(row.problem, say),
    row.hint && h('p', { class: 'next', key: 'hint', role: 'alert' }, h('strong', null, say(row.hint))),
    BENEATH[row.stage](state, say, send),
  ];
}

/** The line that Enter would key, large: it is compared with the paper. */
function shown(state, say) {
  const { row } = state.paperHours;
  return lineShown(state, say, row.shown, (standing) =>
    h('p', { class: 'next' }, h('strong', null, say(row.isSending ? 'keying.sending' : standing.length ? 'on-paper.enter-all-the-same' : 'on-paper.enter-keys', { name: row.shown.match.name }))),
  );
}

function several(state, say, send) {
  const { fits, matches, settles, text } = state.paperHours.row;
  const lines = matches.slice(0, SHOWN_LINES);
  const press = (place) => (event) => send({ type: 'hours-digit', key: String(place + 1), at: event.timeStamp });
  return [
    h('p', { class: 'ask', key: 'ask' }, say(fits ? 'keying.several' : 'on-paper.no-line', { n: fits })),
    fits > lines.length && h('p', { class: 'next', key: 'more' }, say('keying.more', { n: fits - lines.length })),
    answers([
      ...lines.map((match, place) => ({ key: match.line_id, words: personWords(match, say), press: press(place) })),
      { key: 'none', words: settles ? say('on-paper.stays-off') : say('on-paper.on-no-line', { text: text.trim() }), press: press(lines.length) },
    ]),
    h('p', { class: 'hint', key: 'keys' }, say('keying.digits')),
  ];
}

/** What was just written, so that a slip is seen while the page is still under the finger. */
function lastRow(state, say) {
  const { last, settles } = state.paperHours.row;
  if (settles) return h('p', { class: 'next', key: 'begin' }, say('on-paper.settles-how'));
  if (!last) return h('p', { class: 'next', key: 'begin' }, say('on-paper.begin'));
  const key = last.undone ? 'undone' : last.effect;
  return h(
    'div',
    { class: 'last', key: `last-${last.number}-${key}` },
    h('p', { class: 'next' }, h('strong', null, say(`hours-said.${key}`, { name: last.name || last.said_number }))),
    h('p', { class: 'hint' }, placeWords(last, say)),
  );
}

function foot(state, say, send) {
  const { row } = state.paperHours;
  const rows = openHour(state).rows.filter((each) => !each.undone);
  const last = rows.at(-1);
  if (row.settles) {
    return h(
      'div',
      { class: 'buttons', key: 'foot' },
      button(say('on-paper.stays-off'), (event) => send({ type: 'hours-off-wanted', at: event.timeStamp }), { key: 'off', 'aria-label': say('on-paper.stays-off-of', { name: nameOf(row) }) }),
    );
  }
  return h(
    'div',
    { class: 'buttons', key: 'foot' },
    button(say('on-paper.other-page'), () => send({ type: 'hours-page-wanted' }), { key: 'page', 'aria-keyshortcuts': 'Alt+P' }),
    last && button(say('keying.undo', { name: last.name || last.said_number }), (event) => send(undoEvent(last, event.timeStamp)), { key: 'undo', 'aria-keyshortcuts': 'Alt+U' }),
    button(say('on-paper.finish'), (event) => send({ type: 'hours-finish-wanted', at: event.timeStamp }), { key: 'finish' }),
  );
}
