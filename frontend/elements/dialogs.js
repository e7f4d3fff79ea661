/** The few things that are asked in a dialog. The lead's own stand in corrections.js and hours.js. */

import { move, withStatement, withdraw } from './corrections.js';
import { button, problemBox } from './controls.js';
import { close, title } from './dialog_parts.js';
import { confirmTurn, extend, takeBack, turns } from './hours.js';
import { dropList, finishList, irregularity, settleIrregularity, undoRow, unlockCodes } from './late_dialogs.js';
import { h } from './paint.js';

export const dialog = (state, say, send) =>
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
    KINDS[state.dialog.kind](state, say, send),
  );

const KINDS = {
  day: (state, say, send) =>
    state.dialog.turn ? confirmTurn(state, say, send) : turns(state, say, send),
  extend,
  'take-back': takeBack,
  withdraw,
  move,
  left: withStatement,
  returned: withStatement,
  'form-given': withStatement,
  'withdraw-provisional': withStatement,
  'not-recorded': notRecorded,
  irregularity,
  'settle-irregularity': settleIrregularity,
  'undo-row': undoRow,
  'finish-list': finishList,
  'drop-list': dropList,
  'unlock-codes': unlockCodes,
};

function notRecorded(state, say, send) {
  const { name, lineId, problem } = state.dialog;
  return [
    title(say('dialog.not-recorded')),
    h('p', null, h('strong', null, name)),
    problemBox(say, problem, { isKept: false }),
    h(
      'div',
      { class: 'buttons' },
      lineId &&
        button(say('dialog.open-line'), () => send({ type: 'look-alike-opened', lineId, name }), {
          key: 'open',
          look: 'primary',
        }),
      button(say('dialog.back'), close(send), { key: 'back' }),
    ),
  ];
}
