/** What the one confirmation of each dialog writes: corrections by the lead, and turns of the day. */

import { asTime } from '../logic/dialog.js';

// As many as fit a dialog of a small window.
const SHOWN_LINES = 5;

/** Why it is done although something is missing: each turn has its own word for it. */
const REASON_OF = { open: 'anyway', close: 'reason' };
const turnBody = (turn, text) => (REASON_OF[turn] && text?.trim() ? { [REASON_OF[turn]]: text.trim() } : {});

export function correctingActs(desk) {
  const write = (...given) => desk.write(...given);
  const onLine = (end) => desk.onLine(end);

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
    const writes = { ...CONFIRMED, ...desk.lateConfirmed, ...desk.standbyConfirmed };
    writes[dialog.kind](dialog, event);
  };

  /** The right line, looked for in the dialog that moves a signature. */
  async function findRightLine() {
    const { text, asked } = desk.state.dialog?.search ?? {};
    if (!text?.trim()) return;
    const answer = await desk.heard(desk.post('/find', { text, limit: SHOWN_LINES }));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'right-lines-found', asked, problem, answer: problem ? null : answer.body });
  }

  return {
    effects: {
      'turn-confirmed': ({ turn, text }) => write('turn', `/day/${turn}`, turnBody(turn, text)),
      'dialog-confirmed': confirm,
      'right-line-typed': findRightLine,
    },
  };
}
