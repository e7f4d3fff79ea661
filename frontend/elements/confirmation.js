/** What was just recorded, until the next voter is typed: so that the right ballot is handed over. */

import { cautionWords } from '../logic/coded.js';
import { ballot } from './ballot.js';
import { button } from './controls.js';
import { h } from './paint.js';

export function confirmation(state, say, send) {
  const { confirmation: done, day } = state;
  return h(
    'section',
    { class: 'confirmation', key: `confirmation-${done.kind}`, 'aria-label': say('signing.confirmation') },
    KINDS[done.kind](done, say, day),
    button(
      say('signing.open-again'),
      () => send({ type: 'look-alike-opened', lineId: done.lineId, name: done.name }),
      { look: 'quiet' },
    ),
    done.kind === 'signed' && h('p', { class: 'hint' }, say('signing.mistake')),
  );
}

const KINDS = { signed, withdrawn };

function signed(done, say) {
  const facts = { time: done.localTime, initials: done.initials };
  return [
    h('p', { class: 'verdict recorded' }, h('span', null, say('signing.signed'))),
    h('p', { class: 'done-name' }, done.name),
    ballot(done.ballotButton, say),
    h('p', { class: 'next' }, say(`signing.how-${done.how}`, facts)),
    h('p', { class: 'next' }, say('signing.next-voter')),
  ];
}

function withdrawn(done, say, day) {
  const facts = { time: done.localTime, initials: done.initials };
  return [
    h('p', { class: 'verdict taken-back' }, h('span', null, say('signing.taken-back'))),
    h('p', { class: 'done-name' }, done.name),
    h('p', { class: 'next' }, say('signing.withdrawn-at', facts)),
    h('p', { class: 'next' }, h('strong', null, say('signing.ballot-is-out', day.registrar))),
    h('p', { class: 'caution' }, cautionWords(say, day.policy?.caution)),
  ];
}
