/** The signature pad with its one primary button, and the confirmation after it. */

import { ballot } from './ballot.js';
import { button } from './controls.js';
import { h } from './paint.js';

export function signing(state, say, send) {
  const { sheet: open, pending, connection } = state;
  const isDrawn = open.strokes.length > 0;
  const press = (event) => send({ type: 'sign-pressed', at: event.timeStamp });
  return h(
    'div',
    { class: 'signing', key: 'signing' },
    h('signature-pad', {
      role: 'img',
      'aria-label': say(isDrawn ? 'signing.pad-drawn' : 'signing.pad'),
      props: {
        strokes: open.strokes,
        ondrawn: (strokes) => send({ type: 'signature-drawn', strokes }),
      },
    }),
    h(
      'div',
      { class: 'buttons' },
      button(say(pressWords(isDrawn, pending, connection)), press, {
        key: 'record',
        look: 'primary',
        focus: 'primary',
        isBusy: Boolean(pending),
        'aria-describedby': 'verdict next',
      }),
      button(say('signing.redo'), () => send({ type: 'signature-drawn', strokes: [] }), {
        key: 'redo',
        isBusy: !isDrawn || Boolean(pending),
      }),
    ),
  );
}

function pressWords(isDrawn, pending, { isReachable }) {
  if (pending) return pending.isWaiting || !isReachable ? 'signing.unsent' : 'signing.busy';
  return isDrawn ? 'signing.record' : 'signing.on-paper';
}

/** Stays until the next voter is typed, so that the right ballot is handed over. */
export function confirmation(state, say, send) {
  const { confirmation: done } = state;
  return h(
    'section',
    { class: 'confirmation', key: 'confirmation', 'aria-label': say('signing.confirmation') },
    h('p', { class: 'verdict recorded' }, h('span', null, say('signing.signed'))),
    h('p', { class: 'done-name' }, done.name),
    h('p', { class: 'next' }, say(`signing.how-${done.how}`, { time: done.localTime, initials: done.initials })),
    ballot(done.ballotButton, say),
    h('p', { class: 'next' }, say('signing.next-voter')),
    button(
      say('signing.open-again'),
      () => send({ type: 'look-alike-opened', lineId: done.lineId, name: done.name }),
      { look: 'quiet' },
    ),
    h('p', { class: 'hint' }, say('signing.mistake')),
  );
}
