/**
 * What goes into the record: one write at a time, sent again with its key until the server
 * says yes or no. What each event writes stands in `effects`.
 */

import { isUnanswered } from '../logic/pending.js';
import { howSigned } from '../logic/strokes.js';

const SEND_AGAIN_EVERY_MS = 1000;

const NO_HELPER = {
  wanted: false,
  helper_name: '',
  helper_is: null,
  reason: '',
  statement_of_support: false,
};

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
    // Not where nothing is recorded: see logic/pending.js.
    if (desk.state.pending) sendPending();
  }

  async function sendPending() {
    const { key, path, body, lineId, what, isWaiting, timeoutMs } = desk.state.pending;
    if (isWaiting) desk.send({ type: 'write-sent-again' });
    sentAt = desk.now();
    const answer = await desk.heard(desk.post(path, body, { key, timeoutMs }));
    if (desk.state.pending?.key !== key) return;
    if (isUnanswered(answer, desk.state.pending)) {
      desk.send({ type: 'write-unanswered', key });
      return;
    }
    if (desk.isGood(answer)) desk.send({ type: 'write-accepted', key, receipt: answer.body });
    else desk.send({ type: 'write-refused', key, problem: answer.body });
    const { sheet } = desk.state;
    if (sheet && (sheet.lineId === lineId || what === 'turn')) desk.loadLine(sheet.lineId);
    desk.askDay();
  }

  const sendAgainWhenDue = (isDue) => {
    if (isDue && desk.now() - sentAt > SEND_AGAIN_EVERY_MS) sendPending();
  };

  const onLine = (end) => `/lines/${desk.state.sheet.lineId}/${end}`;

  function sign(_, before) {
    const { evidence, strokes, verdict, isShortAsked } = desk.state.sheet;
    // Only asked about: see logic/sheet.js.
    if (isShortAsked !== before.sheet.isShortAsked) return;
    const facts = { ballotButton: verdict.ballot_button };
    write('signature', onLine('signature'), { ...howSigned(strokes), evidence }, facts);
  }

  return {
    write,
    onLine,
    sendAgainWhenDue,
    effects: {
      'sign-pressed': sign,
      'card-completed': () => write('address-confirmation', onLine('address-confirmation'), {}),
      'no-helper': () => write('assistance', onLine('assistance'), { ...NO_HELPER, ...howSigned([]) }),
    },
  };
}
