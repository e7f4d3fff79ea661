/** A list on paper as the lead looks at it: rows that wait, all rows, and the printed proof. */

import { isLead } from '../logic/day.js';
import { mayLook } from '../logic/late_state.js';
import { button } from './controls.js';
import { h } from './paint.js';

/** A paper of its own window: see openPaper in controller.js. */
export const proof = (list, state, say, send) =>
  isLead(state) &&
  button(say('page.proof'), () => send({ type: 'proof-asked', listId: list.list_id, language: say.language }), {
    key: `proof-${list.list_id}`,
    'aria-label': say('page.proof-of', { name: list.name }),
  });

/** On the screen where it is keyed: the rows that only the lead may decide. */
export const waitingRows = ({ list_id: listId, tally }, state, say, send) =>
  tally?.open > 0 &&
  (mayLook(state)
    ? button(say('page.settle', { n: tally.open }), (event) => send({ type: 'list-wanted', listId, at: event.timeStamp }), { key: 'settle' })
    : h('p', { class: 'hint', key: 'settle' }, say('page.waits', { n: tally.open })));
