/** One late list: the sum of its rows, what needs a person, and the one confirmation. */

import { isStandby } from '../logic/day.js';
import { mayBring } from '../logic/late_state.js';
import { clashesNow, goneOpen, ROWS_AT_ONCE, sumOf } from '../logic/late_list.js';
import { proof } from './late_paper.js';
import { faultWords, reasonWords } from './late_reasons.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { decideGone, decideRow } from './late_row.js';
import { contradictionWords, lateAsk, onLineWords, onListWords, sideBySide } from './late_parts.js';
import { h } from './paint.js';
import { writtenDown } from './written_down.js';

export function listScreen(state, say, send) {
  const { list: open } = state.late;
  const title = open.preview ? say('listed.title', titleFacts(open.preview.list, say)) : say('way.asking');
  const isWithin = open.row || open.gone;
  return { title, back: say(isWithin ? 'listed.to-list' : 'late.back'), content: content(state, say, send) };
}

const titleFacts = (list, say) => ({ name: list.name, kind: say(`list-kind.${list.kind}`) });

function content(state, say, send) {
  const { list: open } = state.late;
  if (!open.preview) return lateAsk(say('way.asking'));
  if (open.row) return decideRow(state, say, send);
  if (open.gone) return decideGone(state, say, send);
  const { resembles, list } = open.preview;
  if (list.form === 'paper') return onPaper(state, say, send);
  if (resembles && list.status === 'draft' && !open.isItsOwn && mayBring(state)) return whichList(resembles, say, send);
  return list.status === 'draft' ? draft(state, say, send) : applied(state, say, send);
}

/** Most rows stand already by another list: is this one a correction of it? */
const whichList = (resembles, say, send) => [
  lateAsk(say('listed.resembles', { name: resembles.name, n: resembles.shared }), 'resembles'),
  answers([
    {
      key: 'corrects',
      words: say('listed.corrects-it', { name: resembles.name }),
      press: (event) => send({ type: 'list-corrects', at: event.timeStamp }),
    },
    { key: 'own', words: say('listed.its-own'), press: () => send({ type: 'list-kept-apart' }) },
  ]),
];

/** A list on paper: its rows were done as they were keyed, and some wait for the lead. */
function onPaper(state, say, send) {
  const { list: open } = state.late;
  const { list } = open.preview;
  return [
    lateAsk(list.tally.open ? say('page.needs', { n: list.tally.open }) : say('page.no-needs')),
    sum(list, say),
    list.tally.open > 0 && rows('open', open.open, state, say, send),
    h(
      'div',
      { class: 'buttons', key: 'paper' },
      list.status === 'keying' &&
        !isStandby(state) &&
        button(say('late.key-in', { name: list.name, count: list.count, total: list.printed_total }), () => send({ type: 'keying-opened', list }), { key: 'key-in' }),
      proof(list, state, say, send),
    ),
    browse(state, say, send),
  ];
}

/** Before anything is changed: first what needs a person, then the confirmation. */
function draft(state, say, send) {
  const { list: open } = state.late;
  const { tally } = open.preview.list;
  const needs = tally.open > 0;
  return [
    lateAsk(needs ? say('listed.needs-you', { n: tally.open }) : say('listed.ready')),
    open.isAgain && h('p', { class: 'next', key: 'again' }, say('listed.again')),
    difference(open.preview, say),
    sum(open.preview.list, say),
    needs && rows('open', open.open, state, say, send),
    mayBring(state) && (needs ? confirmRest(state, say, send) : confirm(state, say, send, true)),
    contradictions(open.contradicting, state, say),
    browse(state, say, send),
    mayBring(state) &&
      button(
        say('listed.drop'),
        () => send({ type: 'dialog-opened', kind: 'drop-list', listId: open.listId, name: open.preview.list.name }),
        { look: 'quiet', key: 'drop' },
      ),
  ];
}

const confirmRest = (state, say, send) =>
  h('div', { class: 'apart', key: 'apart' }, h('p', null, say('listed.rest-anyway')), confirm(state, say, send, false));

/** The one sentence of what will be done, and the button that does it. */
function confirm(state, say, send, isMain) {
  const { list: open } = state.late;
  const { list } = open.preview;
  const facts = { n: willChange(list.tally), kind: say(`list-kind.${list.kind}`) };
  const count = clashesNow(open.contradicting);
  const sentences = [
    say(`will.${list.kind}`, facts),
    list.tally.settled > 0 && say('will.as-decided', { n: list.tally.settled }),
    count > 0 && say('will.contradict', { n: count }),
    open.preview.difference?.gone > 0 && say('will.gone', { n: open.preview.difference.gone }),
  ];
  return [
    writtenDown(sentences.filter(Boolean).join(' '), say),
    button(
      say(state.pending ? 'listed.applying' : isMain ? 'listed.apply' : 'listed.apply-rest'),
      (event) => send({ type: 'list-apply-asked', at: event.timeStamp }),
      { key: 'apply', look: isMain ? 'primary' : 'plain', isBusy: Boolean(state.pending) },
    ),
  ];
}

// What a person has settled may be a mark or a row left off: the sum says which.
const willChange = (tally) => tally.applied;

const difference = ({ difference: each, list }, say) =>
  each &&
  h(
    'p',
    { class: 'next', key: 'difference' },
    say('listed.difference', { name: list.corrects?.name, added: each.new, changed: each.changed, same: each.same, gone: each.gone }),
  );

/** Every row counts once: the parts add up to the rows of the list. */
const sum = ({ tally, status }, say) =>
  h(
    'dl',
    { class: 'sum', key: 'sum', 'aria-label': say('listed.sum') },
    sumOf(tally).map(([part, n]) =>
      h('div', { key: part, class: n ? part : `${part} nil` }, h('dt', null, say(`sum.${part}-${status === 'draft' ? 'draft' : 'applied'}`)), h('dd', null, say('sum.n', { n }))),
    ),
    h('div', { key: 'rows', class: 'rows' }, h('dt', null, say('sum.rows')), h('dd', null, say('sum.n', { n: tally.rows }))),
  );

function rows(only, found, state, say, send) {
  const list = found.rows.map((row) => ({
    key: String(row.row_number),
    words: rowWords(row, say),
    press: (event) => send({ type: 'row-opened', row, at: event.timeStamp }),
  }));
  return h(
    'div',
    { key: `rows-${only}` },
    mayBring(state)
      ? answers(list, { isBusy: Boolean(state.pending) })
      : h('ul', { class: 'reasons', key: 'told' }, list.map(({ key, words }) => h('li', { key }, words))),
    found.count > found.rows.length && h('p', { class: 'hint' }, say('listed.more', { n: found.count - found.rows.length })),
  );
}

export const rowWords = (row, say) => [
  h('span', { class: 'name' }, say('listed.row', { row: row.row_number, name: row.read.name || row.read.voter_number })),
  h('span', { class: 'more' }, rowReasons(row, say).join(' ')),
];

export const rowReasons = (row, say) => [
  ...row.reasons.map((each) => reasonWords(each, say)),
  ...row.faults.filter((fault) => !row.reasons.some((each) => each.code === fault.code)).map((fault) => faultWords(fault, say)),
];

const contradictions = (found, state, say) =>
  found.count > 0 &&
  h(
    'div',
    { key: 'contradictions', class: 'contradictions' },
    h('h3', null, say('listed.contradictions', { n: found.count })),
    found.rows.map((row) => contradiction(row, state, say)),
    found.count > found.rows.length && h('p', { class: 'hint' }, say('listed.more', { n: found.count - found.rows.length })),
  );

const contradiction = (row, { day }, say) =>
  h(
    'div',
    { key: String(row.row_number), class: 'contradiction' },
    h('p', null, h('strong', null, say('listed.row', { row: row.row_number, name: row.person?.name ?? row.read.name })), ' ', contradictionWords(row.contradiction, say)),
    sideBySide(
      [say('listed.on-line'), onLineWords(row.contradiction.on_line, say, day.election.time_zone)],
      [say('listed.on-list'), onListWords(row.contradiction.on_list, say)],
    ),
  );

/** All rows, a page at a time, for whoever wants to compare them with the paper. */
function browse(state, say, send) {
  const { page, preview } = state.late.list;
  const turn = (from) => () => send({ type: 'list-page-wanted', only: '', from });
  if (!page) return button(say('listed.all-rows', { n: preview.list.tally.rows }), turn(0), { look: 'quiet', key: 'browse' });
  const columns = ['row', 'name', 'line', 'does'].map((each) => say(`listed.column-${each}`));
  return h(
    'div',
    { class: 'lists', key: 'browse' },
    h(
      'table',
      null,
      h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
      h(
        'tbody',
        null,
        page.rows.map((row) =>
          h(
            'tr',
            { key: String(row.row_number) },
            [
              String(row.row_number),
              [row.read.name, row.read.voter_number].filter(Boolean).join(' · '),
              row.person?.name ?? '–',
              doesWords(row, say),
            ].map((cell, place) => h('td', { 'data-column': columns[place] }, cell || '–')),
          ),
        ),
      ),
    ),
    h(
      'div',
      { class: 'buttons' },
      page.from > 0 && button(say('listed.earlier'), turn(Math.max(0, page.from - ROWS_AT_ONCE)), { key: 'earlier' }),
      page.from + page.rows.length < page.count && button(say('listed.later'), turn(page.from + ROWS_AT_ONCE), { key: 'later' }),
    ),
  );
}

export const doesWords = (row, say) =>
  row.decision ? say('effect.decided', { how: say(`decided.${row.decision.how}`), reason: row.decision.reason, initials: row.decision.initials }) : say(`effect.${row.effect}`);

/** Once applied: what was done, and what still needs a person. */
function applied(state, say, send) {
  const { list: open } = state.late;
  const { list, gone } = open.preview;
  const left = goneOpen(open.preview);
  const needs = list.tally.open + left.length;
  const { irregularities = 0 } = open.wasApplied ?? {};
  return [
    lateAsk(needs ? say('listed.still-needs', { n: needs }) : say('listed.all-done')),
    list.done && h('p', { class: 'next', key: 'done' }, say('listed.applied-at', { time: list.done.local_time, initials: list.done.initials, n: list.tally.applied })),
    sum(list, say),
    list.tally.open > 0 && rows('open', open.open, state, say, send),
    left.length > 0 && noLonger(left, state, say, send),
    irregularities > 0 &&
      button(say('listed.irregularities', { n: irregularities }), (event) => send({ type: 'late-went', screen: 'irregularities', at: event.timeStamp }), { key: 'irregularities' }),
    gone.length > left.length && h('p', { class: 'hint', key: 'gone' }, say('listed.gone-decided', { n: gone.length - left.length })),
    contradictions(open.contradicting, state, say),
    browse(state, say, send),
  ];
}

const goneButtons = (gone, say, send) =>
  h(
    'div',
    { class: 'buttons' },
    ['withdraw', 'keep'].map((stage) =>
      button(say(`listed.gone-${stage}`), (event) => send({ type: 'gone-opened', gone, stage, at: event.timeStamp }), { key: stage }),
    ),
  );

/** The earlier list marked them, the corrected one does not name them. */
const noLonger = (left, state, say, send) =>
  h(
    'div',
    { key: 'no-longer' },
    h('h3', null, say('listed.no-longer', { n: left.length })),
    left.map((gone) =>
      h(
        'div',
        { class: 'contradiction', key: gone.line_id },
        h('p', null, h('strong', null, gone.person.name), ' ', say('listed.earlier-row', { row: gone.row_number })),
        mayBring(state) && goneButtons(gone, say, send),
      ),
    ),
  );
