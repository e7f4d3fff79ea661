/** The lead's view: what needs them now, oldest first, and the turnout so far beside it. */

import { isOpenedFor, needFacts, needKey, openingHere } from '../logic/attention_list.js';
import { isStandby } from '../logic/day.js';
import { button, problemBox } from './controls.js';
import { h } from './paint.js';
import { turnout } from './turnout.js';

const STEPS = { ArrowDown: 1, ArrowUp: -1 };

export function leadView(state, say, send, page, { inNow }) {
  return h(
    'section',
    { class: 'now', key: 'now', 'aria-labelledby': 'now-title', on: { keydown: moveAmongNeeds } },
    h(
      'div',
      { class: 'now-top', key: 'top' },
      button(say('now.back'), () => send({ type: 'now-left' }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
      h('h2', { id: 'now-title', tabindex: '-1', 'data-focus': 'now' }, say('now.title')),
      !isStandby(state) && button(say('now.stations'), () => send({ type: 'stations-opened' }), { look: 'quiet', key: 'stations' }),
    ),
    problemBox(say, state.now.problem, { isKept: false }),
    ...Object.values(inNow).map((each) => each(state, say, send)),
    h(
      'div',
      { class: 'now-body', key: 'body' },
      h('div', { class: 'needs-list', key: 'needs' }, needs(state, say, send)),
      turnout(state, say, send),
    ),
    howKept(state, say),
  );
}

/** Whether somebody who takes the laptop can read the record, and where its log ends. */
function howKept({ day: { encrypted }, now: { turnout: asked } }, say) {
  const head = asked?.head;
  const kept = encrypted === null ? 'elsewhere' : encrypted ? 'encrypted' : 'in-clear';
  return h(
    'div',
    { class: 'how-kept', key: 'kept' },
    h('p', { class: encrypted === false ? 'problem' : 'hint' }, say(`now.${kept}`)),
    head && h('p', { class: 'hint' }, say('now.head', { seq: head.seq }), ' ', h('code', null, head.hash.match(/.{4}/g).join(' '))),
  );
}

function needs(state, say, send) {
  const { needs: items } = state;
  if (items === null) return h('p', { key: 'asking' }, say('now.asking'));
  if (!items.length) return h('p', { class: 'calm', key: 'none' }, say('now.none'));
  return [
    h('p', { class: 'hint', key: 'order' }, say('now.order', { n: items.length })),
    h('ol', { key: 'items' }, items.map((item) => h('li', { key: item.key }, one(item, state, say, send)))),
  ];
}

/** What can be opened is a button; the rest is only told. */
function one(item, state, say, send) {
  const { on } = state.now;
  const words = [
    h('span', { class: 'sentence' }, sentence(item, say)),
    h('span', { class: 'since' }, say('now.since', { time: item.local_time })),
  ];
  if (!openingHere(state, item, 0)) return h('p', { class: 'need' }, words);
  return h(
    'button',
    {
      type: 'button',
      class: 'button need',
      'data-focus': item.key === on ? 'need' : null,
      on: {
        click: (event) => send(openingHere(state, item, event.timeStamp)),
        focus: () => send({ type: 'need-focused', key: item.key }),
        // Without a next place it is the item that goes, not the lead.
        blur: (event) => event.relatedTarget && send({ type: 'need-focused', key: null }),
      },
    },
    words,
  );
}

function sentence(item, say) {
  const facts = needFacts(item);
  const about = say.has(`about.${facts.irregularity}`) && say(`about.${facts.irregularity}`);
  const words = say(needKey(item), { ...facts, ...(about && { about }) });
  return isOpenedFor(item) ? `${words} ${say('now.not-settled', facts)}` : words;
}

function moveAmongNeeds(event) {
  const by = STEPS[event.key];
  if (!by || event.ctrlKey || event.altKey || event.metaKey) return;
  const all = [...event.currentTarget.querySelectorAll('button.need')];
  if (!all.length) return;
  const at = all.indexOf(event.target.closest('button.need'));
  const next = at < 0 ? 0 : Math.min(all.length - 1, Math.max(0, at + by));
  event.preventDefault();
  all[next].focus();
}
