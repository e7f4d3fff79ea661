/** The lead's lists: who was sent where, provisional ballots, helpers over the limit. */

import { leadsHere } from '../logic/day.js';
import { overLimit } from '../logic/lists.js';
import { button, problemBox } from './controls.js';
import { h } from './paint.js';

export function lists(state, say, send) {
  const { lists: open } = state;
  return h(
    'section',
    { class: 'lists', key: 'lists', 'aria-labelledby': 'lists-title' },
    button(say('lists.back'), () => send({ type: 'lists-left' }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
    h('h2', { id: 'lists-title', tabindex: '-1', 'data-focus': 'lists' }, say('lists.title')),
    problemBox(say, open.problem, { isKept: false }),
    open.people === null
      ? h('p', null, say('lists.loading'))
      : [people(open, say), ballots(state, say, send), helpers(open, say)],
  );
}

const part = (name, n, content, say) =>
  h(
    'div',
    { class: 'list', key: name },
    h('h3', null, say(`lists.${name}`, { n })),
    n === 0 ? h('p', { class: 'hint' }, say('lists.none')) : content,
  );

/** A table whose cells carry their column's name, so that it can stand upright in a narrow window. */
const table = (columns, rows) =>
  h(
    'table',
    null,
    h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
    h(
      'tbody',
      null,
      rows.map((cells) => h('tr', null, cells.map((cell, place) => h('td', { 'data-column': columns[place] }, cell || '–')))),
    ),
  );

const by = (entry) => `${entry.local_time} · ${entry.station} · ${entry.initials}`;

const people = ({ people: list }, say) =>
  part(
    'people',
    list.length,
    table(
      ['name', 'where', 'why', 'when'].map((column) => say(`lists.${column}`)),
      [...list].reverse().map((each) => [each.name, whereTo(each, say), whyWords(each, say), by(each)]),
    ),
    say,
  );

const whereTo = ({ way, place }, say) =>
  place
    ? say('way.place', { place: place.polling_place, address: place.place_address, precinct: place.precinct })
    : say(`went.${way}`);

const whyWords = ({ reason, provisional_declined: isDeclined }, say) =>
  [reason, isDeclined && say('lists.declined')].filter(Boolean).join(' · ');

function ballots(state, say, send) {
  const list = state.lists.ballots;
  const columns = ['name', 'envelope', 'why', 'kept', 'when'].map((column) => say(`lists.${column}`));
  const row = (each) => [
    each.name,
    each.envelope,
    [say.has(`because.${each.reason}`) ? say(`because.${each.reason}`) : each.reason, each.note].filter(Boolean).join(' · '),
    say(`kept.${each.ballot_class}`),
    each.withdrawn
      ? [by(each), h('strong', null, say('lists.withdrawn', { time: each.withdrawn.local_time, initials: each.withdrawn.initials }))]
      : [by(each), leadsHere(state) && takeBack(each, say, send)],
  ];
  return part('ballots', list.length, table(columns, [...list].reverse().map(row)), say);
}

const takeBack = ({ seq, envelope, name }, say, send) =>
  button(
    say('lists.take-back'),
    () => send({ type: 'dialog-opened', kind: 'withdraw-provisional', seq, envelope, name }),
    { look: 'quiet', 'aria-label': say('lists.take-back-of', { name }) },
  );

function helpers(open, say) {
  const over = overLimit(open);
  const words = open.limit
    ? say('lists.limit', { limit: open.limit, n: over.length })
    : say('lists.no-limit');
  return h(
    'div',
    { class: 'list', key: 'helpers' },
    h('h3', null, say('lists.helpers', { n: open.helpers.length })),
    h('p', { class: over.length ? 'problem' : 'hint' }, words),
    open.helpers.length > 0 &&
      table(
        ['helper', 'helped', 'over'].map((column) => say(`lists.${column}`)),
        open.helpers.map(({ name, helped, over: isOver }) => [
          name,
          String(helped),
          isOver ? h('strong', null, say('lists.is-over')) : say('lists.is-within'),
        ]),
      ),
  );
}
