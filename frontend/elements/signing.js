/** The signature pad with its one primary button, and the way of whoever cannot sign. */

import { mayMark } from '../logic/sheet.js';
import { button } from './controls.js';
import { h } from './paint.js';

export function signing(state, say, send, inSheet) {
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
    open.isShortAsked && h('p', { class: 'short', key: 'short', id: 'short' }, say('signing.short')),
    h(
      'div',
      { class: 'buttons' },
      button(say(pressWords(isDrawn, pending, connection)), press, {
        key: 'record',
        look: 'primary',
        focus: 'primary',
        isBusy: Boolean(pending),
        'aria-describedby': open.isShortAsked ? 'short' : 'verdict next',
      }),
      button(say('signing.redo'), () => send({ type: 'signature-drawn', strokes: [] }), {
        key: 'redo',
        isBusy: !isDrawn || Boolean(pending),
      }),
      mayMark(open) &&
        button(say('signing.cannot-sign'), (event) => send({ type: 'witness-wanted', at: event.timeStamp }), {
          key: 'cannot-sign',
          look: 'quiet',
          isBusy: Boolean(pending),
        }),
    ),
    inSheet.voter
      ? inSheet.voter(state, say, send)
      : button(say('signing.voter'), () => send({ type: 'voter-screen-wanted' }), { key: 'voter', look: 'quiet' }),
  );
}

function pressWords(isDrawn, pending, { isReachable }) {
  if (pending) return pending.isWaiting || !isReachable ? 'signing.unsent' : 'signing.busy';
  return isDrawn ? 'signing.record' : 'signing.on-paper';
}
