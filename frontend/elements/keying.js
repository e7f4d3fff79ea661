/** A list on paper: starting it, and the one box through which its rows are keyed in. */

import { lastCounting, missing, PAPER_KINDS, SHOWN_LINES } from '../logic/keying.js';
import { isLead } from '../logic/day.js';
import { BURST_MS } from '../logic/search.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { choiceField, filledIn, textField } from './fields.js';
import { contradictionWords, lateAsk, markWords, onLineWords, onListWords, personWords, sideBySide } from './late_parts.js';
import { proof, waitingRows } from './late_paper.js';
import { pageRows } from './page_rows.js';
import { h } from './paint.js';

export function startScreen(state, say, send) {
  const { kind, name, total, problems } = state.late.start;
  const wrong = (field) => problems[field] && say(`lack.${problems[field]}`);
  const typed = (field) => (event) => send({ type: 'start-typed', field, value: event.target.value });
  const form = h(
    'form',
    {
      class: 'paper',
      key: 'form',
      novalidate: true,
      on: filledIn(() => send({ type: 'start-submitted' })),
    },
    choiceField(
      say('bring.kind'),
      { id: 'start-kind', value: kind, problem: wrong('kind'), choices: PAPER_KINDS.map((value) => ({ value, words: say(`list-kind.${value}`) })) },
      (value) => send({ type: 'start-typed', field: 'kind', value }),
    ),
    textField(say('start.name'), { id: 'start-name', value: name, most: 80, hint: say('start.name-hint'), problem: wrong('name') }, { input: typed('name') }),
    textField(say('start.total'), { id: 'start-total', value: total, most: 6, inputmode: 'numeric', hint: say('start.total-hint'), problem: wrong('total') }, { input: typed('total') }),
    button(say('start.press'), () => {}, { look: 'primary', type: 'submit', isBusy: Boolean(state.pending) }),
  );
  return { title: say('late.start'), back: say('late.back'), content: [lateAsk(say('start.ask')), form] };
}

export function keyingScreen(state, say, send) {
  const { keying } = state.late;
  const { list } = keying;
  return {
    title: say('listed.title', { name: list.name, kind: say(`list-kind.${list.kind}`) }),
    back: say(keying.stage === 'type' ? 'late.back' : 'keying.back'),
    content: list.status === 'keying' ? being(state, say, send) : finished(list, state, say, send),
  };
}

const being = (state, say, send) => [
  count(state.late.keying, say),
  ...(state.late.keying.person
    ? pageRows(state, say, send)
    : [box(state, say, send), h('div', { class: 'keyed', key: 'beneath' }, beneath(state, say, send))]),
  foot(state, say, send),
];

/** How far it has come, to be read from a step away. */
const count = ({ list }, say) =>
  h(
    'p',
    { class: 'count', key: 'count', role: 'status' },
    h('strong', null, say('keying.count', { count: list.count, total: list.printed_total })),
    list.not_found > 0 && h('span', null, ` ${say('keying.not-found', { n: list.not_found })}`),
  );

/**
 * The keys in the box in which a row is looked up: Enter goes on, the arrow shows the others, a digit
 * that nobody scanned chooses. `sent` names the events: entered, others, digit.
 */
export function rowKeys(event, { isChoosing, lastKeyAt, sent }, send) {
  const { key, timeStamp: at, repeat } = event;
  if (event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
  if (key === 'Enter') {
    event.preventDefault();
    send({ type: sent.entered, at, repeat });
  } else if (key === 'ArrowDown') {
    event.preventDefault();
    send({ type: sent.others });
  } else if (isChoosing && /^[1-9]$/.test(key) && at - lastKeyAt >= BURST_MS) {
    event.preventDefault();
    send({ type: sent.digit, key, at });
  }
}

const SENT = { entered: 'keying-entered', others: 'keying-others', digit: 'keying-digit' };

function keyDown(event, state, send) {
  const { stage, lastKeyAt } = state.late.keying;
  rowKeys(event, { isChoosing: stage === 'several' || stage === 'twice', lastKeyAt, sent: SENT }, send);
}

const box = (state, say, send) =>
  h(
    'div',
    { class: 'box', key: 'box' },
    h('label', { for: 'keying-box' }, say('keying.label')),
    h('span', { class: 'hint', id: 'keying-hint' }, say('keying.hint')),
    h('input', {
      id: 'keying-box',
      type: 'text',
      autocomplete: 'off',
      autocapitalize: 'off',
      spellcheck: 'false',
      maxlength: '200',
      'data-focus': 'keying-box',
      'aria-describedby': 'keying-hint',
      props: { value: state.late.keying.text },
      on: {
        input: (event) => send({ type: 'keying-typed', text: event.target.value, at: event.timeStamp }),
        keydown: (event) => keyDown(event, state, send),
      },
    }),
  );

function beneath(state, say, send) {
  const { keying } = state.late;
  return [
    keying.notMarked && h('p', { class: 'problem', key: 'not-marked' }, say('keying.not-marked', { name: keying.notMarked })),
    keying.problem && problemBox(say, keying.problem, { isKept: false, lead: keying.problem.name && say('keying.not-marked', keying.problem) }),
    keying.hint && h('p', { class: 'next', key: 'hint', role: 'alert' }, h('strong', null, say(keying.hint))),
    BENEATH[keying.stage](state, say, send),
  ];
}

const BENEATH = { type: lastRow, looking: lastRow, shown, several, twice };

/** The line that Enter would mark, large: it is compared with the paper. */
function shown(state, say) {
  const { keying } = state.late;
  const { match, line, isNone, isTwice } = keying.shown;
  if (isNone) {
    return h(
      'div',
      { class: 'shown', key: 'shown-none' },
      h('p', { class: 'verdict first' }, h('span', null, say('keying.on-no-line'))),
      h('p', { class: 'done-name' }, keying.text),
      h('p', { class: 'next' }, h('strong', null, say('keying.enter-writes'))),
    );
  }
  return lineShown(state, say, { match, line }, (standing) => [
    isTwice && h('p', { class: 'flags' }, say('keying.counts-twice')),
    h('p', { class: 'next' }, h('strong', null, say(standing.length ? 'keying.enter-all-the-same' : keying.list.kind === 'removals' ? 'keying.enter-removes' : 'keying.enter-marks'))),
  ]);
}

/** A line as it is compared with the paper; `beneath` says, of what stands there, what Enter does. */
export function lineShown(state, say, { match, line }, beneath) {
  const standing = line ? standsAlready(line.state, state, say) : [];
  return h(
    'div',
    { class: 'shown', key: `shown-${match.line_id}` },
    h('p', { class: 'done-name' }, match.name),
    h('p', { class: 'born' }, say('keying.born', { year: match.birth_date.slice(0, 4) })),
    line && h('p', { class: 'next' }, [line.line.voter_number, line.line.address_protected ? say('note.protected') : line.line.street_address].filter(Boolean).join(' · ')),
    line?.lookAlikes.length > 0 && h('p', { class: 'flags' }, say('keying.look-alikes', { n: line.lookAlikes.length })),
    standing.map((words) => h('p', { class: 'problem', key: words }, words)),
    beneath(standing),
    h('p', { class: 'hint' }, say('keying.others')),
  );
}

/** What stands on the line already, told before it is marked and not after. */
function standsAlready(standing, { day }, say) {
  const words = (what, act, more = {}) => onLineWords({ what, ...act, ...more }, say, day.election.time_zone);
  return [
    standing.signature && words('signed', standing.signature),
    ...standing.marks.map((mark) => words('marked', mark.act, { kind: mark.kind, source: mark.source, initials: mark.initials })),
    standing.removed && words('removed', standing.removed),
    standing.provisional && words('provisional', standing.provisional),
  ].filter(Boolean);
}

function several(state, say, send) {
  const { keying } = state.late;
  const { fits, matches } = keying;
  const lines = matches.slice(0, SHOWN_LINES);
  const press = (place) => (event) => send({ type: 'keying-digit', key: String(place + 1), at: event.timeStamp });
  return [
    h('p', { class: 'ask', key: 'ask' }, say(fits ? 'keying.several' : 'keying.no-line', { n: fits })),
    fits > lines.length && h('p', { class: 'next', key: 'more' }, say('keying.more', { n: fits - lines.length })),
    answers([
      ...lines.map((match, place) => ({ key: match.line_id, words: personWords(match, say), press: press(place) })),
      { key: 'none', words: say('keying.none-of-these', { text: keying.text.trim() }), press: press(lines.length) },
    ]),
    h('p', { class: 'hint', key: 'keys' }, say('keying.digits')),
  ];
}

function twice(state, say, send) {
  const { twice: before } = state.late.keying;
  return [
    h('p', { class: 'ask', key: 'ask' }, say('keying.twice', { name: before.name, row: before.row_number, time: before.local_time, initials: before.initials })),
    answers([{ key: 'twice', words: say('keying.twice-yes'), press: (event) => send({ type: 'keying-digit', key: '1', at: event.timeStamp }) }]),
    h('p', { class: 'hint', key: 'keys' }, say('keying.twice-no')),
  ];
}

/** What was just written, so that a slip is seen while the paper is still under the finger. */
function lastRow(state, say) {
  const { keying } = state.late;
  const { last, sending } = keying;
  if (sending) return h('p', { class: 'next', key: 'sending' }, say('keying.sending', { name: sending.match?.name ?? sending.text }));
  if (!last) return h('p', { class: 'next', key: 'begin' }, say('keying.begin'));
  const { row, name, isUndone } = last;
  if (isUndone) return h('p', { class: 'next', key: `undone-${row.row_number}` }, h('strong', null, say('keying.is-undone', { name })));
  const facts = { name, mark: markWords(MARKED[keying.list.kind], say), row: row.row_number };
  const key = row.agreement === 'none' ? 'keying.did-not-find' : `keying.did-${row.effect}`;
  return h(
    'div',
    { class: 'last', key: `last-${row.row_number}` },
    h('p', { class: 'next' }, h('strong', null, say(key, facts))),
    row.contradiction && clash(row.contradiction, state, say),
  );
}

const MARKED = { mail_voted: 'voted_by_mail', early_voted: 'voted_early', removals: 'removed' };

const clash = (contradiction, { day }, say) =>
  h(
    'div',
    { class: 'contradiction' },
    h('p', null, h('strong', null, contradictionWords(contradiction, say))),
    sideBySide(
      [say('listed.on-line'), onLineWords(contradiction.on_line, say, day.election.time_zone)],
      [say('listed.on-list'), onListWords(contradiction.on_list, say)],
    ),
    h('p', null, say('keying.tell-lead')),
  );

function foot(state, say, send) {
  const { keying } = state.late;
  const last = lastCounting(keying);
  const short = missing(keying);
  return h(
    'div',
    { class: 'buttons', key: 'foot' },
    last &&
      button(say('keying.undo', { name: nameOf(last) }), () => send(undoEvent(last)), { key: 'undo', 'aria-keyshortcuts': 'Alt+U' }),
    button(
      say('keying.finish'),
      () => send({ type: 'dialog-opened', kind: 'finish-list', missing: short }),
      { key: 'finish', look: short === 0 ? 'primary' : 'plain' },
    ),
    waitingRows(keying.list, state, say, send),
    short !== 0 && h('p', { class: 'hint', key: 'short' }, differWords(short, isLead(state) ? '-lead' : '', say)),
  );
}

/** By how many the count differs from the printed total, and who may finish it all the same. */
export const differWords = (missingRows, whose, say) =>
  missingRows > 0 ? say(`keying.short${whose}`, { n: missingRows }) : say(`keying.over${whose}`, { n: -missingRows });

// Of a row that waits the line may be somebody else's.
const nameOf = ({ effect, person, read }) =>
  (effect === 'settle' ? null : person?.name) ?? (read.name || read.voter_number);

/** Also what Alt+U sends: see elements/page.js. */
export const undoEvent = (row) => ({ type: 'dialog-opened', kind: 'undo-row', rowNumber: row.row_number, name: nameOf(row) });

const finished = (list, state, say, send) => [
  lateAsk(say('keying.finished', { count: list.count, total: list.printed_total })),
  list.reason && h('p', { class: 'next', key: 'reason' }, say('keying.finished-because', { reason: list.reason })),
  h('p', { class: 'next', key: 'file' }, say('keying.keep-paper')),
  h('div', { class: 'buttons', key: 'after' }, proof(list, state, say, send), waitingRows(list, state, say, send)),
];
