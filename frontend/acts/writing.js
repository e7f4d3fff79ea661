/**
 * What goes into the record: one write at a time, sent again with its key until the server
 * says yes or no. What each event writes stands in `effects`.
 */

import { asTime } from '../logic/dialog.js';
import { affidavitBody, directedBody, provisionalBody } from '../logic/ending.js';
import { helperBody, NO_HELPER } from '../logic/helper.js';
import { isUnanswered } from '../logic/pending.js';
import { formNow } from '../logic/way_state.js';

const SEND_AGAIN_EVERY_MS = 1000;

/** Strokes go along only where something was drawn. */
const signed = (strokes) =>
  strokes.length ? { how: 'drawn', strokes } : { how: 'paper', strokes: null };

/** Why it is done although something is missing: each turn has its own word for it. */
const REASON_OF = { open: 'anyway', close: 'reason' };
const turnBody = (turn, text) => (REASON_OF[turn] && text?.trim() ? { [REASON_OF[turn]]: text.trim() } : {});

export function writingActs(desk) {
  let sentAt = -Infinity;

  function write(what, path, body, facts = {}) {
    const { sheet, way, late, dialog, search, pending } = desk.state;
    if (pending) return;
    const next = {
      key: desk.newKey(),
      what,
      path,
      body,
      lineId: sheet?.lineId ?? null,
      name: sheet?.name ?? '',
      searchText: search.text,
      wayOpenedAt: way?.openedAt,
      lateOpenedAt: late?.openedAt,
      dialogKind: dialog?.kind ?? null,
      ...facts,
    };
    desk.send({ type: 'write-started', write: next });
    sendPending();
  }

  async function sendPending() {
    const { key, path, body, lineId, what, isWaiting } = desk.state.pending;
    if (isWaiting) desk.send({ type: 'write-sent-again' });
    sentAt = desk.now();
    const answer = await desk.heard(desk.post(path, body, { key }));
    if (desk.state.pending?.key !== key) return;
    if (isUnanswered(answer, desk.state.pending)) {
      desk.send({ type: 'write-unanswered', key });
      return;
    }
    if (desk.isGood(answer)) desk.send({ type: 'write-accepted', key, receipt: answer.body });
    else desk.send({ type: 'write-refused', key, problem: answer.body });
    const { sheet, lists } = desk.state;
    if (sheet && (sheet.lineId === lineId || what === 'turn')) desk.loadLine(sheet.lineId);
    if (lists) desk.loadLists();
    desk.askDay();
  }

  const sendAgainWhenDue = (isDue) => {
    if (isDue && desk.now() - sentAt > SEND_AGAIN_EVERY_MS) sendPending();
  };

  const onLine = (end) => `/lines/${desk.state.sheet.lineId}/${end}`;

  function sign() {
    const { evidence, strokes, verdict } = desk.state.sheet;
    const facts = { ballotButton: verdict.ballot_button };
    write('signature', onLine('signature'), { ...signed(strokes), evidence }, facts);
  }

  function recordHelper() {
    const { helper } = desk.state.sheet;
    write('assistance', onLine('assistance'), { ...helperBody(helper), ...signed(helper.strokes) });
  }

  /** The ending of a way without a form: sent elsewhere, a registration form, or gone. */
  function recordEnding() {
    const { way } = desk.state;
    const body = directedBody(way);
    const name = way.line?.name || way.elsewhere.chosen?.name || way.name.trim();
    const facts = { name, place: body.way === 'elsewhere' ? way.place : null };
    write('directed', '/people-directed', body, facts);
  }

  function recordForm() {
    const { way } = desk.state;
    const form = formNow(way);
    const { values } = form;
    const signature = signed(form.strokes);
    if (form.kind === 'affidavit') {
      const name = [values.last_name.trim(), values.first_name.trim()].filter(Boolean).join(', ');
      const body = { ...affidavitBody(way, form), ...signature };
      write('affidavit', '/correction-affidavits', body, { name, lineId: null });
    } else {
      const body = { ...provisionalBody(way, form), ...signature };
      write('provisional', '/provisional-ballots', body, { name: values.name.trim() });
    }
  }

  /** What the one confirmation of each dialog writes. */
  const CONFIRMED = {
    withdraw: ({ why, text }, { reason }) =>
      write('withdrawal', onLine('signature/withdraw'), { why, reason: text.trim() || reason }),
    move: ({ chosen, text, birthDate }) =>
      write('move', onLine('signature/move'), {
        to_line_id: chosen.line_id,
        reason: text.trim(),
        ...(birthDate.trim() && { evidence: { birth_date: birthDate.trim() } }),
      }),
    left: ({ text }) => write('left', onLine('left'), { reason: text.trim() }),
    returned: ({ text }) => write('returned', onLine('returned'), { reason: text.trim() }),
    'form-given': () => write('form-given', onLine('form-given'), {}),
    extend: ({ reference, until }) =>
      write('turn', '/day/extend-hours', { reference: reference.trim(), until: asTime(until) }),
    'take-back': ({ turn, text }) =>
      write('turn', '/day/withdraw-turn', { turn, reason: text.trim() }),
    'withdraw-provisional': ({ seq, text }) =>
      write('provisional-withdrawal', `/provisional-ballots/${seq}/withdraw`, { reason: text.trim() }),
  };

  const confirm = (event) => {
    const { dialog } = desk.state;
    (CONFIRMED[dialog.kind] ?? desk.lateConfirmed[dialog.kind])(dialog, event);
  };

  return {
    write,
    sendAgainWhenDue,
    effects: {
      'sign-pressed': sign,
      'card-completed': () => write('address-confirmation', onLine('address-confirmation'), {}),
      'no-helper': () => write('assistance', onLine('assistance'), { ...NO_HELPER, ...signed([]) }),
      'helper-recorded': recordHelper,
      'turn-confirmed': ({ turn, text }) => write('turn', `/day/${turn}`, turnBody(turn, text)),
      'dialog-confirmed': confirm,
      'ending-confirmed': recordEnding,
      'form-recorded': recordForm,
    },
  };
}
