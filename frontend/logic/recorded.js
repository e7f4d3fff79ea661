/**
 * What the page shows once the server has said yes: a signature, or a step before it. Each
 * part of the page has the same for its own kinds of record. Pure.
 *
 * Most end with the box empty for the next voter and what was just recorded in sight;
 * where the worker has gone on to somebody else meanwhile it is told beside them.
 */

import { announce, focusOn } from './attention.js';
import { emptySearch } from './search.js';

/** The worker has gone on to somebody else while the write was out: do not take that away. */
function isBusyElsewhere(state, write) {
  if (state.way) return state.way.openedAt !== write.wayOpenedAt;
  if (state.sheet) return state.sheet.lineId !== write.lineId;
  return state.search.text !== write.searchText;
}

/** Ready for the next voter, with `what` was recorded in sight; or told beside another's sheet. */
export function confirmed(state, write, receipt, told, what) {
  if (isBusyElsewhere(state, write)) {
    return announce({ ...state, notice: told }, told.key, told.facts);
  }
  const asked = state.search.asked + 1;
  const cleared = {
    ...state,
    way: null,
    sheet: null,
    notice: null,
    search: { ...emptySearch(), asked, answered: asked },
    confirmation: {
      ...what,
      lineId: write.lineId,
      name: write.name,
      seq: receipt.seq,
      localTime: receipt.local_time,
      initials: receipt.initials,
    },
  };
  return focusOn(announce(cleared, told.key, told.facts), 'box');
}

function signature(state, write, receipt) {
  const facts = { name: write.name, time: receipt.local_time, button: write.ballotButton };
  return confirmed(state, write, receipt, { key: 'signing.recorded', facts }, {
    kind: 'signed',
    ballotButton: write.ballotButton,
    how: write.body.mark === 'none' ? 'no-mark' : write.body.how,
    witness: write.body.witness?.name,
  });
}

/** A step of the open line; what the lead should know is told with it. */
function step(state, write, receipt) {
  const isOpen = state.sheet?.lineId === write.lineId;
  const flags = receipt.flags ?? [];
  const next = announce(state, flags.length ? 'steps.recorded-flagged' : 'steps.recorded');
  if (!isOpen) return next;
  // A flag is to be read before anything else is pressed.
  const place = flags.length || state.sheet.verdict?.outcome !== 'sign' ? 'verdict' : 'primary';
  return focusOn({ ...next, sheet: { ...state.sheet, flags, helper: null } }, place);
}

export const recordedAtTable = {
  signature,
  'address-confirmation': step,
  assistance: step,
};
