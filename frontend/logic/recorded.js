/**
 * What the page shows once the server has said yes, for each kind of record. Pure.
 *
 * Most end with the box empty for the next voter and what was just recorded in sight;
 * where the worker has gone on to somebody else meanwhile it is told beside them.
 */

import { announce, focusOn } from './attention.js';
import { callRecorded } from './call.js';
import { placeBehind } from './dialog.js';
import { keyingOpened, listFinished, rowKeyed, rowUndone } from './keying.js';
import { goneSettled, listApplied, rowSettled } from './late_list.js';
import { personKeyed } from './page_rows.js';
import { emptySearch } from './search.js';

/** The worker has gone on to somebody else while the write was out: do not take that away. */
function isBusyElsewhere(state, write) {
  if (state.way) return state.way.openedAt !== write.wayOpenedAt;
  if (state.sheet) return state.sheet.lineId !== write.lineId;
  return state.search.text !== write.searchText;
}

/** Ready for the next voter, with `what` was recorded in sight; or told beside another's sheet. */
function confirmed(state, write, receipt, told, what) {
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

const withoutDialog = (state) => ({ ...state, dialog: null });

function signature(state, write, receipt) {
  const facts = { name: write.name, time: receipt.local_time, button: write.ballotButton };
  return confirmed(state, write, receipt, { key: 'signing.recorded', facts }, {
    kind: 'signed',
    ballotButton: write.ballotButton,
    how: write.body.how,
  });
}

/** The line is free to sign again, but nothing invites to: the next Enter signs nobody. */
function withdrawal(state, write, receipt) {
  const told = { key: 'signing.withdrawn', facts: { name: write.name } };
  return confirmed(withoutDialog(state), write, receipt, told, { kind: 'withdrawn' });
}

/** The line that now carries the signature is the one to open again. */
function move(state, write, answer) {
  const told = { key: 'signing.moved', facts: { from: write.name, to: answer.after.to.name } };
  const done = { kind: 'moved', before: answer.before, after: answer.after, flags: answer.flags };
  return confirmed(withoutDialog(state), write, answer.recorded, told, done);
}

const standing = (kind) => (state, write, receipt) => {
  const told = { key: `signing.said-${kind}`, facts: { name: write.name } };
  return confirmed(withoutDialog(state), write, receipt, told, { kind });
};

function affidavit(state, write, answer) {
  const facts = { name: write.name, button: answer.ballot_button };
  const done = {
    kind: 'affidavit',
    ballotButton: answer.ballot_button,
    how: write.body.how,
    papers: answer.papers,
    lookAlikes: answer.look_alikes,
    flags: answer.flags,
  };
  const signed = { ...write, lineId: answer.line_id };
  return confirmed(state, signed, answer.signed, { key: 'done.said-affidavit', facts }, done);
}

function provisional(state, write, receipt) {
  const { envelope, ballot_class: ballotClass, papers } = receipt;
  const done = {
    kind: 'provisional',
    envelope,
    ballotClass,
    papers,
    ballotButton: write.body.ballot_button,
  };
  const told = { key: 'done.said-provisional', facts: { name: write.name, envelope } };
  return confirmed(state, write, receipt, told, done);
}

function directed(state, write, receipt) {
  const done = { kind: 'directed', way: write.body.way, place: write.place, papers: receipt.papers };
  const told = { key: 'done.said-directed', facts: { name: write.name } };
  return confirmed(state, write, receipt, told, done);
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

function formGiven(state, write) {
  const told = { key: 'done.form-given', facts: { name: write.name } };
  const next = { ...withoutDialog(state), notice: told };
  return focusOn(announce(next, told.key, told.facts), placeBehind(next));
}

/** A turn of the day, or a dialog over a list: the dialog goes, and what it hid is back. */
const dialogDone = (state) => focusOn(withoutDialog(state), placeBehind(state));

/** Written up from anywhere: what was open before is open again. */
function irregularity(state) {
  const told = { key: 'irregular.said-written', facts: {} };
  const next = { ...withoutDialog(state), notice: told };
  return focusOn(announce(next, told.key), placeBehind(next));
}

const paperStarted = (state, _, { list }) => (state.late ? keyingOpened(state, { list }) : state);

/** The draft is gone, and with it its screen. */
const listDropped = (state) => {
  const next = withoutDialog(state);
  return next.late ? focusOn({ ...next, late: { ...next.late, screen: 'overview', list: null, keying: null } }, 'late') : next;
};

const RECORDED = {
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
  signature,
  withdrawal,
  move,
  left: standing('left'),
  returned: standing('returned'),
  affidavit,
  provisional,
  directed,
  'address-confirmation': step,
  assistance: step,
  'form-given': formGiven,
  turn: dialogDone,
  'provisional-withdrawal': dialogDone,
};

export const shownAsRecorded = (state, write, answer) => RECORDED[write.what](state, write, answer);
