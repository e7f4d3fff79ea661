/** Late lists, calls and irregularities: the one section that all their screens stand in. */

import { cautionWords } from '../logic/coded.js';
import { isLead } from '../logic/day.js';
import { mayBring, mayKey, mayLook, mayTakeCalls, waiting } from '../logic/late_state.js';
import { answers } from './answers.js';
import { bringScreen } from './bring.js';
import { callScreen } from './call.js';
import { button } from './controls.js';
import { guardKeys } from './guard.js';
import { irregularitiesScreen } from './irregularities.js';
import { keyingScreen, startScreen } from './keying.js';
import { listScreen } from './late_list.js';
import { lateAsk } from './late_parts.js';
import { listProblem } from './list_problem.js';
import { h } from './paint.js';
import { proof } from './late_paper.js';
import { pastCallsScreen } from './past_calls.js';

/** Each gives `{ title, back, content }`: the words of Escape, and everything beneath. */
const SCREENS = {
  overview,
  bring: bringScreen,
  list: listScreen,
  start: startScreen,
  keying: keyingScreen,
  call: callScreen,
  calls: pastCallsScreen,
  irregularities: irregularitiesScreen,
};

export function late(state, say, send, page) {
  const { late: open } = state;
  const guards = guardKeys(page, (newest) => newest.late?.guard, send, (event) =>
    send({ type: 'late-back', at: event.timeStamp }),
  );
  const { title, back, content } = open.isLeaving
    ? { title: say(open.screen === 'call' ? 'late.call' : 'page.title'), back: say('late.back'), content: leaving(open.screen, say, send) }
    : SCREENS[open.screen](state, say, send);
  return h(
    'section',
    { class: `late ${open.screen}`, key: `late-${open.openedAt}-${open.screen}`, 'aria-labelledby': 'late-title', on: guards },
    h(
      'div',
      { class: 'way-top', key: 'top' },
      button(back, (event) => send({ type: 'late-back', at: event.timeStamp }), {
        look: 'quiet',
        'aria-keyshortcuts': 'Escape',
      }),
      h('h2', { id: 'late-title' }, title),
    ),
    h('div', { class: 'way-body', key: 'body' }, content, listProblem(say, open.problem)),
    h('p', { class: 'caution', key: 'caution' }, cautionWords(say, state.day.policy?.caution)),
  );
}

const leaving = (screen, say, send) => [
  lateAsk(say(screen === 'call' ? 'late.leaving' : 'page.leaving'), 'leaving'),
  answers([
    { key: 'stay', words: say('way.stay'), press: (event) => send({ type: 'late-back', at: event.timeStamp }) },
    { key: 'go', words: say('way.give-up'), press: (event) => send({ type: 'late-went', screen: 'overview', at: event.timeStamp }) },
  ]),
];

function overview(state, say, send) {
  const { lists } = state.late;
  const go = (screen) => (event) => send({ type: 'late-went', screen, at: event.timeStamp });
  const waits = waiting(state);
  const papers = (lists ?? []).filter((list) => list.status === 'keying' && mayKey(state));
  return {
    title: say('late.title'),
    back: say('late.to-table'),
    content: [
      lateAsk(say(askKey(state, papers))),
      waits.length > 0 &&
        h('ul', { class: 'flags', key: 'waits' }, waits.map(([key, n]) => h('li', { key }, say(key, { n })))),
      answers([
        ...papers.map((list) => ({
          key: list.list_id,
          words: say('late.key-in', { name: list.name, count: list.count, total: list.printed_total }),
          press: () => send({ type: 'keying-opened', list }),
        })),
        mayTakeCalls(state) && { key: 'call', words: say('late.call'), press: go('call') },
        mayLook(state) && { key: 'calls', words: say('calls.title'), press: go('calls') },
        mayBring(state) && { key: 'bring', words: say('late.bring'), press: go('bring') },
        mayBring(state) && { key: 'start', words: say('late.start'), press: go('start') },
        mayLook(state) && {
          key: 'irregularities',
          words: say('late.irregularities', { n: state.day.counts?.irregularities_open ?? 0 }),
          press: go('irregularities'),
        },
        mayKey(state) && { key: 'write', words: say('late.write-up'), press: () => send({ type: 'dialog-opened', kind: 'irregularity' }) },
        mayLook(state) && { key: 'people', words: say('lists.title'), press: () => send({ type: 'lists-opened' }) },
      ]),
      h('h4', { key: 'lists-title' }, say('late.lists')),
      lists === null ? h('p', { class: 'hint', key: 'none' }, say('way.asking')) : allLists(state, say, send),
    ],
  };
}

/** A worker comes here to key in a list, and for nothing else. */
function askKey(state, papers) {
  if (mayLook(state)) return 'late.ask';
  return papers.length ? 'late.ask-worker' : 'late.no-paper';
}

function allLists(state, say, send) {
  const { lists } = state.late;
  if (!lists.length) return h('p', { class: 'hint', key: 'none' }, say('lists.none'));
  return h(
    'div',
    { class: 'buttons upright', key: 'all-lists' },
    lists.filter((list) => list.status !== 'dropped').map((list) => oneList(list, state, say, send)),
  );
}

/** A worker may only key; whoever may settle opens everything else. */
function oneList(list, state, say, send) {
  const words = [
    h('span', { class: 'name' }, list.name),
    h('span', { class: 'state' }, stateWords(list, say)),
    h('span', { class: 'more' }, [say(`list-kind.${list.kind}`), list.local_time, list.initials].filter(Boolean).join(' · ')),
  ];
  const isKeyed = list.form === 'paper' && !(list.tally.open && mayLook(state) && (list.status === 'finished' || !mayKey(state)));
  if (isKeyed ? !mayKey(state) : !mayLook(state)) {
    return h('p', { class: 'button line', key: list.list_id }, words);
  }
  const press = (event) =>
    send(
      isKeyed
        ? { type: 'keying-opened', list }
        : { type: 'list-wanted', listId: list.list_id, at: event.timeStamp },
    );
  const opens = button(words, press, { key: list.list_id, look: 'line' });
  const isProved = list.form === 'paper' && list.status === 'finished' && isLead(state);
  return isProved ? h('div', { class: 'with-proof', key: list.list_id }, opens, proof(list, state, say, send)) : opens;
}

export function stateWords(list, say) {
  const { status, tally } = list;
  if (status === 'applied' && tally.open) return say('list-state.applied-open', { n: tally.open });
  const words = say(`list-state.${status}`, { count: list.count, total: list.printed_total });
  return list.form === 'paper' && tally.open ? `${words}; ${say('page.waits', { n: tally.open })}` : words;
}

