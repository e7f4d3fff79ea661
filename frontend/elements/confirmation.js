/** What was just recorded, until the next voter is typed: so that the right ballot is handed over. */

import { sentenceOf } from '../logic/coded.js';
import { ballot } from './ballot.js';
import { button } from './controls.js';
import { h } from './paint.js';

export function confirmation(state, say, send, confirmations) {
  const { confirmation: done, day } = state;
  return h(
    'section',
    { class: `confirmation ${done.kind}`, key: `confirmation-${done.kind}-${done.seq}`, 'aria-label': say('signing.confirmation') },
    { ...confirmations, signed }[done.kind](done, say, day, send),
    done.lineId &&
      button(
        say('signing.open-again'),
        () => send({ type: 'look-alike-opened', lineId: done.lineId, name: done.name }),
        { look: 'quiet' },
      ),
    ['signed', 'affidavit'].includes(done.kind) && h('p', { class: 'hint' }, say('signing.mistake')),
  );
}

export const verdictLike = (look, words) => h('p', { class: `verdict ${look}` }, h('span', null, words));
export const named = (done) => done.name && h('p', { class: 'done-name' }, done.name);
export const next = (words) => h('p', { class: 'next' }, words);

function signed(done, say) {
  const facts = { time: done.localTime, initials: done.initials, witness: done.witness };
  return [
    verdictLike('recorded', say('signing.signed')),
    named(done),
    ballot(done.ballotButton, say),
    next(say(`signing.how-${done.how}`, facts)),
    next(say('signing.next-voter')),
  ];
}

/** What the lead should know of it. */
export const flagged = ({ flags = [] }, say) =>
  flags.length > 0 &&
  h('ul', { class: 'flags' }, flags.map((flag) => h('li', null, sentenceOf(say, 'flag', flag))));
