/** The frame of every dialog, and the one that any table may need: the others come with their part. */

import { button, problemBox } from './controls.js';
import { h } from './paint.js';

export const dialog = (state, say, send, dialogs) =>
  h(
    'dialog',
    {
      class: `dialog ${state.dialog.kind}`,
      key: `dialog-${state.dialog.kind}`,
      'aria-labelledby': 'dialog-title',
      mounted: (node) => node.showModal(),
      on: {
        // Escape goes through the state, or the page would think the dialog still open.
        cancel: (event) => {
          event.preventDefault();
          send({ type: 'dialog-closed' });
        },
      },
    },
    { ...dialogs, 'not-recorded': notRecorded }[state.dialog.kind](state, say, send),
  );

export const close = (send) => () => send({ type: 'dialog-closed' });

export const title = (words) =>
  h('h2', { id: 'dialog-title', tabindex: '-1', 'data-focus': 'dialog' }, words);

function notRecorded(state, say, send) {
  const { name, lineId, problem } = state.dialog;
  return [
    title(say('unrecorded.title')),
    h('p', null, h('strong', null, name)),
    problemBox(say, problem, { isKept: false }),
    h(
      'div',
      { class: 'buttons' },
      lineId &&
        button(say('unrecorded.open-line'), () => send({ type: 'look-alike-opened', lineId, name }), {
          key: 'open',
          look: 'primary',
        }),
      button(say('unrecorded.back'), close(send), { key: 'back' }),
    ),
  ];
}
