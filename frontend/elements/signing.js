/** The signature pad with its one primary button. */

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
