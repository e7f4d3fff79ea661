/** The balance: a small sum, what stands beside it, and where to look where it does not come out. */

import { CAUSES_AT_ONCE, standingOf, sumOf } from '../logic/balance.js';
import { isLead, isStandby, leadsHere } from '../logic/day.js';
import { countsWanted } from '../logic/work_form.js';
import { turnsNow } from '../logic/turns.js';
import { answers } from './answers.js';
import { causeScreen } from './causes.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { causeWords, ruled, workAsk } from './work_parts.js';

export function balanceScreen(state, say, send) {
  const { balance, cause } = state.dayWork;
  // The same sentence in other words once it has come: whoever is on it stays there, and nobody else
  // is drawn away by an answer that comes late.
  if (!balance) return workAsk(say('way.asking'), 'standing');
  if (cause) return causeScreen(state, say, send);
  return [
    workAsk(standingWords(balance, say), 'standing'),
    h(
      'div',
      { class: 'halves', key: 'halves' },
      h('div', { key: 'sum' }, sum(balance, state, say, send), provisional(balance, say)),
      h('div', { key: 'next' }, turns(balance, state, say, send), !balance.missing.length && causes(balance, say, send)),
    ),
    machines(balance, say),
    byButton(balance, say),
    lists(balance, say),
    counts(state, say, send),
  ];
}

const row = (name, sign, n, say) =>
  h('div', { key: name, class: name }, h('dt', null, say(`sum-of.${name}`)), h('dd', null, h('span', { class: 'sign', 'aria-hidden': 'true' }, sign), String(n)));

/** Line after line, as it would be added up on paper. */
const sum = (balance, state, say, send) => [
  h(
    'dl',
    { class: 'balance-sum', key: 'sum' },
    sumOf(balance).map(([name, sign, n]) => row(name, sign, n, say)),
    row(balance.counted_by === 'machines' ? 'machines' : 'ballots', '', balance.terms.counted ?? say('balance.not-counted'), say),
    balance.difference !== null && !balance.missing.length && row('difference', balance.difference > 0 ? '+' : balance.difference < 0 ? '−' : '', Math.abs(balance.difference), say),
  ),
  balance.missing.length > 0 && missing(balance, state, say, send),
];

const missing = (balance, state, say, send) =>
  h(
    'div',
    { class: 'missing', key: 'missing' },
    h('p', { class: 'next' }, say('balance.still-missing')),
    h(
      'div',
      { class: 'buttons upright' },
      balance.missing.map((each) => (each.what === 'paper' ? paperHour(each.name, say, send) : countIt(each, state, say, send))),
    ),
  );

const countIt = ({ what, name }, { day }, say, send) =>
  button(
    what === 'machine' ? say('moment.close', { serial: name }) : say(`count.${name}`),
    (event) =>
      send({
        type: 'work-form-opened',
        ...(what === 'machine' ? { kind: 'reading', serial: name, moment: 'close' } : { kind: 'count', what: name }),
        at: event.timeStamp,
      }),
    { key: name, isBusy: day.phase === 'not_open' || Boolean(day.standby) },
  );

/** What was signed on paper is keyed on its own screen. */
const paperHour = (time, say, send) =>
  button(say('balance.paper-hour', { time }), (event) => send({ type: 'paper-hours-opened', at: event.timeStamp }), { key: `paper-${time}` });

const provisional = ({ provisional: { recorded, withdrawn, apart } }, say) =>
  h('p', { class: 'apart', key: 'provisional' }, h('strong', null, say('balance.apart', { n: apart })), withdrawn > 0 && ` ${say('balance.apart-of', { recorded, withdrawn })}`);

function uncountedWords({ what, name }, say) {
  if (what === 'paper') return say('balance.paper-hour', { time: name });
  return say('balance.uncounted', { name: what === 'machine' ? name : say(`count.${name}`) });
}

/** Where ballots on paper are counted no machine is spoken of. */
function standingWords(balance, say) {
  const key = `balance.${standingOf(balance)}`;
  const ofBallots = `${key}-ballots`;
  const isOfBallots = balance.counted_by !== 'machines' && say.has(ofBallots);
  return say(isOfBallots ? ofBallots : key, { n: Math.abs(balance.difference ?? 0) });
}

const NEXT = {
  machines: { balances: 'may-close', missing: 'count-first' },
  paper_ballots: { balances: 'may-close', missing: 'count-ballots-first' },
};

/** Nothing is due: how the day stands, and once it is closed the paper of it. */
const standsNow = (state, say, send) =>
  h(
    'div',
    { class: 'turns', key: 'stands' },
    h('p', { class: 'next' }, say(`phase.${state.day.phase}`, state.day.election)),
    isLead(state) &&
      state.day.phase === 'closed' &&
      h(
        'div',
        { class: 'buttons' },
        button(say('papers.closing'), () => send({ type: 'paper-asked', path: 'closing.pdf', language: state.language }), { key: 'closing', look: 'primary' }),
        leadsHere(state) && button(say('work.closing'), (event) => send({ type: 'work-went', screen: 'closing', at: event.timeStamp }), { key: 'checks' }),
      ),
  );

/** The turns of the day that are due, where they belong: beside the sum that they need. */
function turns(balance, state, say, send) {
  const { balances, missing: uncounted } = balance;
  const due = turnsNow(state.day).filter((turn) => turn !== 'open');
  if (!leadsHere(state) || !due.length) return standsNow(state, say, send);
  const lacks = balances ? [] : [standingWords(balance, say), ...uncounted.map((each) => uncountedWords(each, say))];
  const open = (turn) => () => send({ type: 'dialog-opened', kind: 'day', turn, isOverWork: true, lacks: turn === 'close' ? lacks : [] });
  const last = due.at(-1);
  return h(
    'div',
    { class: 'turns', key: 'turns' },
    h('p', { class: 'next' }, say(due.length > 1 ? 'balance.first-cut-off' : `balance.${NEXT[balance.counted_by][standingOf(balance)] ?? 'look-first'}`)),
    h(
      'div',
      { class: 'buttons' },
      due.length > 1 && button(say('turn.cut-off'), open('cut-off'), { key: 'cut-off', look: 'primary' }),
      button(say(balances ? `turn.${last}` : 'balance.close-anyway'), open(last), { key: 'close', look: balances && due.length === 1 ? 'primary' : 'plain' }),
    ),
  );
}

const delta = (n) => (n > 0 ? `+${n}` : String(n).replace('-', '−'));

const oneCause = (cause, place, say, send) => ({
  key: `${cause.code}-${place}`,
  words: [
    h('span', null, causeWords(cause, say)),
    h('span', { class: 'more' }, say(cause.wholly ? 'balance.wholly' : 'balance.partly', { delta: delta(cause.delta) })),
  ],
  press: (event) => send({ type: 'cause-opened', place, at: event.timeStamp }),
});

function causes({ causes: all }, say, send) {
  if (!all.length) return null;
  const shown = all.map((cause, place) => oneCause(cause, place, say, send));
  return h(
    'div',
    { class: 'causes', key: 'causes' },
    h('h4', null, say('balance.causes')),
    h('p', { class: 'hint' }, say('balance.causes-hint')),
    answers(shown.slice(0, CAUSES_AT_ONCE)),
    all.length > CAUSES_AT_ONCE &&
      h('details', { key: 'more' }, h('summary', null, say('balance.more-causes', { n: all.length - CAUSES_AT_ONCE })), answers(shown.slice(CAUSES_AT_ONCE), { isNumbered: false })),
  );
}

const plain = (n) => (n === null ? null : String(n));

const machines = ({ machines: all }, say) =>
  all.length > 0 &&
  ruled(
    say('balance.machines-title'),
    ['machine', 'public-opening', 'public-close', 'public-moved', 'protective-moved', 'agrees'].map((column) => say(`work-column.${column}`)),
    all.map((each) => [
      each.serial,
      plain(each.public_opening),
      plain(each.public_close),
      plain(each.public_moved),
      plain(each.protective_moved),
      each.agrees === null ? null : say(each.agrees ? 'balance.agrees' : 'balance.agrees-not'),
    ]),
  );

const byButton = ({ by_button: all }, say) =>
  all &&
  ruled(
    say('balance.buttons-title'),
    ['button', 'signed', 'counted', 'difference'].map((column) => say(`work-column.${column}`)),
    all.map((each) => [each.button, String(each.signed), String(each.machines), delta(each.difference)]),
  );

const lists = ({ marks }, say) =>
  marks.length > 0 &&
  ruled(
    say('balance.lists-title'),
    ['list', 'printed-total', 'count', 'difference'].map((column) => say(`work-column.${column}`)),
    marks.map((each) => [`${each.name} (${say(`list-kind.${each.list_kind}`)})`, String(each.printed_total), String(each.count), [delta(each.difference), each.reason].filter(Boolean).join(' · ')]),
  );

/** Ballots on paper: what is counted, and counting it. */
function counts(state, say, send) {
  const wanted = isStandby(state) ? [] : countsWanted(state);
  const totals = state.dayWork.counts?.totals ?? {};
  return (
    wanted.length > 0 &&
    h(
      'div',
      { class: 'counts', key: 'counts' },
      h('h4', null, say('balance.ballots-title')),
      h(
        'div',
        { class: 'buttons' },
        wanted.map((what) =>
          button(`${say(`count.${what}`)}: ${totals[what] ?? '–'}`, (event) => send({ type: 'work-form-opened', kind: 'count', what, at: event.timeStamp }), { key: what }),
        ),
      ),
    )
  );
}
