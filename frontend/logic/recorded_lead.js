/** What is shown once the server has taken a correction, a turn of the day, or a list. Pure. */

import { announce, focusOn } from './attention.js';
import { callRecorded } from './call.js';
import { keyingOpened, listFinished, rowKeyed, rowUndone } from './keying.js';
import { goneSettled, listApplied, rowSettled } from './late_list.js';
import { placeBehind } from './layers.js';
import { personKeyed } from './page_rows.js';
import { confirmed } from './recorded.js';

const withoutDialog = (state) => ({ ...state, dialog: null });

/** The line is free to sign again, but nothing invites to: the next Enter signs nobody. */
function withdrawal(state, write, receipt) {
  const told = { key: 'corrected.withdrawn', facts: { name: write.name } };
  return confirmed(withoutDialog(state), write, receipt, told, { kind: 'withdrawn' });
}

/** The line that now carries the signature is the one to open again. */
function move(state, write, answer) {
  const told = { key: 'corrected.moved', facts: { from: write.name, to: answer.after.to.name } };
  const done = { kind: 'moved', before: answer.before, after: answer.after, flags: answer.flags };
  return confirmed(withoutDialog(state), write, answer.recorded, told, done);
}

const standing = (kind) => (state, write, receipt) => {
  const told = { key: `corrected.said-${kind}`, facts: { name: write.name } };
  return confirmed(withoutDialog(state), write, receipt, told, { kind });
};

function formGiven(state, write, _, { layers }) {
  const told = { key: 'done.form-given', facts: { name: write.name } };
  const next = { ...withoutDialog(state), notice: told };
  return focusOn(announce(next, told.key, told.facts), placeBehind(next, layers));
}

/** A turn of the day, or a dialog over a list: the dialog goes, and what it hid is back. */
const dialogDone = (state, _write, _answer, { layers }) =>
  focusOn(withoutDialog(state), placeBehind(state, layers));

/** Written up from anywhere: what was open before is open again. */
function irregularity(state, _write, _answer, { layers }) {
  const told = { key: 'irregular.said-written', facts: {} };
  const next = { ...withoutDialog(state), notice: told };
  return focusOn(announce(next, told.key), placeBehind(next, layers));
}

const paperStarted = (state, _, { list }) => (state.late ? keyingOpened(state, { list }) : state);

/** The draft is gone, and with it its screen. */
const listDropped = (state) => {
  const next = withoutDialog(state);
  return next.late ? focusOn({ ...next, late: { ...next.late, screen: 'overview', list: null, keying: null } }, 'late') : next;
};

export const recordedByLead = {
  'row-keyed': rowKeyed,
  'person-keyed': personKeyed,
  'row-undone': rowUndone,
  'list-finished': listFinished,
  'list-dropped': listDropped,
  'paper-started': paperStarted,
  'row-settled': rowSettled,
  'gone-settled': goneSettled,
  'list-applied': listApplied,
  call: callRecorded,
  irregularity,
  'irregularity-settled': dialogDone,
  unlocked: dialogDone,
  withdrawal,
  move,
  left: standing('left'),
  returned: standing('returned'),
  'form-given': formGiven,
  turn: dialogDone,
  'provisional-withdrawal': dialogDone,
};
