/** A call of the registrar's office: loads the voter's line, and writes the call down. */

import { callBody } from '../logic/call.js';

export function callActs(desk) {
  async function loadVoter({ lineId }) {
    const answer = await desk.heard(desk.get(`/lines/${lineId}`));
    const problem = desk.problemOf(answer);
    if (desk.state.late?.call) {
      desk.send({ type: 'call-line-came', lineId, problem, answer: problem ? null : answer.body });
    }
  }

  function submit() {
    const { call } = desk.state.late;
    const name = call.answer?.line.name ?? call.argument.trim();
    desk.write('call', '/phone-ins', callBody(call, desk.state.day), { name, lineId: call.lineId });
  }

  return { effects: { 'call-voter-chosen': loadVoter, 'call-submitted': submit } };
}
