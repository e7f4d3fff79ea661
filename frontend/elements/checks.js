/**
 * A checklist as a ruled page: one line a check, with who ticked it and when. The arrows go
 * from line to line; Enter or Space ticks, the button beside it says that it is not right.
 */

import { isLead } from '../logic/day.js';
import { placeOfCheck, tally } from '../logic/checks.js';
import { button } from './controls.js';
import { filledIn, textField } from './fields.js';
import { h } from './paint.js';
import { checkWords, stampWords, workAsk } from './work_parts.js';

export function checksScreen(state, say, send) {
  const { screen, checks } = state.dayWork;
  const list = checks[screen];
  if (!list) return workAsk(say('way.asking'));
  return [
    h('p', { class: 'tally', key: 'tally' }, h('strong', null, say('work.tally', tally(list))), ' ', tallyMore(list, say)),
    h('p', { class: 'hint', key: 'keys' }, say('work.keys')),
    h(
      'ol',
      { class: 'checks', key: 'checks', 'aria-label': say(`work.${screen}`), on: { keydown: moveAmongChecks } },
      list.items.map((item) => line(item, list, state, say, send)),
    ),
    screen === 'opening' ? openingFoot(list, state, say, send) : closingFoot(list, state, say, send),
  ];
}

function tallyMore(list, say) {
  const { missing, failed } = tally(list);
  return [missing > 0 && say('work.missing', { n: missing }), failed > 0 && say('work.failed', { n: failed })].filter(Boolean).join(' ');
}

function line(item, list, state, say, send) {
  const { code, tick } = item;
  const { failing, row } = state.dayWork;
  const words = checkWords(list, item, say);
  const mark = tick ? (tick.passed ? 'right' : 'wrong') : 'open';
  // Tab reaches one line; the arrows go to the others.
  const reach = { tabindex: (row ?? list.items[0].code) === code ? '0' : '-1' };
  return h(
    'li',
    { key: code, class: mark },
    button(checkLine(item, mark, words, say), null, {
      look: 'check',
      focus: placeOfCheck(code),
      on: {
        click: (event) => send({ type: 'check-ticked', code, at: event.timeStamp }),
        focus: () => send({ type: 'check-reached', code }),
      },
      ...reach,
    }),
    button(say('work.not-right'), (event) => send({ type: 'check-wrong-asked', code, at: event.timeStamp }), {
      look: 'quiet beside-check',
      'aria-label': say('work.not-right-of', { check: words }),
      ...reach,
    }),
    failing?.code === code && wrong(failing, state, say, send),
  );
}

const BOX = { right: '✓', wrong: '✗', open: '' };

const checkLine = ({ tick, required }, mark, words, say) => [
  h('span', { class: 'tick-box', 'aria-hidden': 'true' }, BOX[mark]),
  h('span', { class: 'words' }, words, !required && h('span', { class: 'more' }, ` ${say('work.optional')}`)),
  h('span', { class: 'stamp' }, tick ? [h('strong', null, say(`work.is-${mark}`)), ' ', stampWords(tick)] : say('work.is-open')),
  tick?.note && h('span', { class: 'note' }, tick.note),
];

const wrong = (failing, state, say, send) =>
  h(
    'form',
    { class: 'wrong', key: 'wrong', novalidate: true, on: filledIn(() => state.pending || send({ type: 'check-wrong-submitted' })) },
    textField(
      say('work.what-wrong'),
      { id: 'check-note', value: failing.note, most: 400, hint: say('work.what-wrong-hint'), problem: failing.problem && say('problem.what-missing') },
      { input: (event) => send({ type: 'check-note-typed', text: event.target.value }) },
    ),
    button(say(state.pending ? 'signing.busy' : 'work.write-wrong'), () => {}, { type: 'submit', look: 'primary', isBusy: Boolean(state.pending) }),
  );

/** Up and down the lines in the same column, and sideways between the two buttons of one. */
function moveAmongChecks(event) {
  const { key, target, currentTarget } = event;
  const here = target.closest('li');
  if (!here || target.matches('input') || event.ctrlKey || event.altKey || event.metaKey) return;
  const lines = [...currentTarget.children];
  const column = target.closest('.beside-check') ? '.beside-check' : '.check';
  const by = { ArrowDown: 1, ArrowUp: -1 }[key];
  const other = { ArrowRight: '.beside-check', ArrowLeft: '.check' }[key];
  const end = { Home: lines[0], End: lines.at(-1) }[key];
  const next = other ? here.querySelector(other) : (end ?? (by && lines[lines.indexOf(here) + by]))?.querySelector(column);
  if (!by && !other && !end) return;
  event.preventDefault();
  next?.focus();
  next?.closest('li').scrollIntoView({ block: 'nearest' });
}

/** What is required and not right, in words, as it is told where the polls open without it. */
const lacksOf = (list, say) =>
  list.items.filter(({ code }) => list.missing.includes(code) || list.failed.includes(code)).map((item) => checkWords(list, item, say));

function openingFoot(list, state, say, send) {
  const { day } = state;
  if (day.phase !== 'not_open') return h('p', { class: 'next', key: 'foot', tabindex: '-1', 'data-focus': 'work-onwards' }, say('work.is-opened'));
  if (!isLead(state)) return h('p', { class: 'next', key: 'foot', tabindex: '-1', 'data-focus': 'work-onwards' }, say(list.ready ? 'work.tell-lead' : 'work.lead-opens'));
  const open = () => send({ type: 'dialog-opened', kind: 'day', turn: 'open', isOverWork: true, lacks: lacksOf(list, say) });
  return h(
    'div',
    { class: 'foot', key: 'foot' },
    h('p', { class: 'next' }, say(list.ready ? 'work.all-right' : 'work.not-ready')),
    h(
      'div',
      { class: 'buttons' },
      button(say(list.ready ? 'turn.open' : 'work.open-anyway'), open, { look: list.ready ? 'primary' : 'plain', focus: 'work-onwards', key: 'open' }),
    ),
  );
}

const closingFoot = (list, state, say, send) =>
  h(
    'div',
    { class: 'foot', key: 'foot' },
    h('p', { class: 'next', ...(!isLead(state) && { tabindex: '-1', 'data-focus': 'work-onwards' }) }, say(list.ready ? 'work.closing-done' : 'work.closing-open')),
    isLead(state) &&
      h(
        'div',
        { class: 'buttons' },
        button(say('work.balance'), (event) => send({ type: 'work-went', screen: 'balance', at: event.timeStamp }), { focus: 'work-onwards', key: 'balance' }),
      ),
  );
