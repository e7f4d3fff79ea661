/** The open line: loads it, and asks the rules again with each answer of the voter. */

import { answersToAskAgain, changeOf, hasEvidence } from '../logic/sheet.js';

export function lineActs(desk) {
  // Requests of the open sheet go one after the other, each with the newest evidence.
  let work = Promise.resolve();
  const inTurn = (next) => {
    work = work.then(next, next);
  };

  const check = (lineId, evidence) => desk.post(`/lines/${lineId}/check`, { evidence });

  function openLine(lineId, name) {
    desk.stopFinding();
    desk.send({ type: 'line-opened', lineId, name, at: desk.now() });
    loadLine(lineId);
  }

  function loadLine(lineId) {
    inTurn(async () => {
      if (desk.state.sheet?.lineId !== lineId) return;
      const answer = await desk.heard(desk.get(`/lines/${lineId}`));
      const problem = desk.problemOf(answer);
      if (problem || desk.state.sheet?.lineId !== lineId) {
        desk.send({ type: 'check-refused', lineId, problem });
        return;
      }
      const line = answer.body;
      const { evidence } = desk.state.sheet;
      const checked = hasEvidence(evidence) ? await desk.heard(check(lineId, evidence)) : null;
      const verdict = checked && desk.isGood(checked) ? checked.body.verdict : line.verdict;
      desk.send({ type: 'line-came', lineId, answer: { ...line, verdict }, at: desk.now() });
    });
  }

  /** Asks the rules again with `change` in what was said; only a verdict makes it stand. */
  function weigh(change) {
    const { lineId } = desk.state.sheet;
    inTurn(async () => {
      if (desk.state.sheet?.lineId !== lineId) return;
      const evidence = { ...desk.state.sheet.evidence, ...change };
      const answer = await desk.heard(check(lineId, evidence));
      const problem = desk.problemOf(answer);
      if (problem) desk.send({ type: 'check-refused', lineId, problem });
      else {
        const { verdict } = answer.body;
        desk.send({ type: 'verdict-came', lineId, evidence, verdict, at: desk.now() });
      }
    });
  }

  const askAgain = () =>
    weigh(Object.fromEntries(answersToAskAgain(desk.state.sheet).map((said) => [said, null])));

  return {
    openLine,
    loadLine,
    effects: {
      'look-alike-opened': ({ lineId, name }) => openLine(lineId, name),
      answered: (event) => weigh(changeOf(event)),
      'ask-again-pressed': askAgain,
    },
  };
}
