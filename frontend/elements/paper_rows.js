/** The rows keyed so far, newest first: what each came to, and taking one back. */

import { isLead } from '../logic/day.js';
import { openHour } from '../logic/paper_state.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { placeWords } from './paper_hours_parts.js';

// As many as are looked back at; an hour may have hundreds.
const SHOWN = 12;

export const undoEvent = ({ number }, at) => ({ type: 'hours-undo-wanted', number, at });

export function rowsKeyed(state, say, send) {
  const rows = [...openHour(state).rows].reverse();
  // What waits for the lead is never out of sight.
  const shown = state.paperHours.isWhole ? rows : rows.filter((row, place) => place < SHOWN || isWaiting(row));
  return h(
    'div',
    { class: 'rows-keyed', key: 'rows' },
    h('h3', null, say('on-paper.rows')),
    rows.length === 0 && h('p', { class: 'hint', key: 'none' }, say('on-paper.rows-none')),
    h('ol', { class: 'rows', key: 'list' }, shown.map((row) => one(row, state, say, send))),
    shown.length < rows.length && button(say('on-paper.rows-all', { n: rows.length }), () => send({ type: 'hours-all-wanted' }), { key: 'all', look: 'quiet' }),
  );
}

const isWaiting = ({ effect, undone }) => effect === 'waits' && !undone;
const nameOf = ({ name, said_number: number }) => [name, number].filter(Boolean).join(' · ');

const one = (row, state, say, send) =>
  h(
    'li',
    { key: String(row.number), class: row.undone ? 'undone' : row.effect },
    h('p', { class: 'name' }, `${row.number}. ${nameOf(row)}`),
    h('p', { class: 'more' }, [placeWords(row, say), row.initials].join(' · ')),
    (row.undone || row.effect !== 'signed') && h('p', { class: 'became' }, becameWords(row, say)),
    !row.undone && h('div', { class: 'buttons' }, settle(row, state, say, send), takeBack(row, say, send)),
  );

function becameWords(row, say) {
  if (row.undone) return say('hours-became.undone', { reason: row.undone.reason });
  return say(`hours-became.${row.effect}`, { reason: row.settled?.reason });
}

const settle = (row, state, say, send) =>
  isWaiting(row) &&
  isLead(state) &&
  button(say('on-paper.settle'), (event) => send({ type: 'hours-settle-wanted', number: row.number, at: event.timeStamp }), {
    key: 'settle',
    'aria-label': say('on-paper.settle-of', { name: nameOf(row) }),
  });

const takeBack = (row, say, send) =>
  button(say('on-paper.take-back'), (event) => send(undoEvent(row, event.timeStamp)), {
    key: 'undo',
    look: 'quiet',
    'aria-label': say('on-paper.take-back-of', { name: nameOf(row) }),
  });
