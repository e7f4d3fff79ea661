/** The PIN over a covered page: the same worker goes on, or somebody else signs on here. */

export function coverActs(desk) {
  async function uncover({ initials, pin }) {
    const { day, station, pending } = desk.state;
    const refuse = (problem) => desk.send({ type: 'uncover-refused', problem });
    const isSame = initials.toLowerCase() === day.worker.initials.toLowerCase();
    // Under another worker's session it would be recorded with the wrong initials.
    if (pending && !isSame) {
      refuse({ code: 'takeover-unsent' });
      return;
    }
    const answer = await desk.heard(desk.post('/sign-on', { initials, pin, station }));
    const problem = desk.problemOf(answer);
    if (problem) refuse(problem);
    else if (isSame) desk.send({ type: 'uncovered' });
    else desk.send({ type: 'taken-over' });
    desk.askDayAnew();
  }

  /** What was asked meanwhile was not answered. */
  function lookAgain() {
    const { sheet } = desk.state;
    if (sheet) desk.loadLine(sheet.lineId);
    desk.send({ type: 'asked-again' });
  }

  return { effects: { 'uncover-asked': uncover, uncovered: lookAgain } };
}
