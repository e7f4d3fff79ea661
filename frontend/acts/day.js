/** The day and the session: asks how the day stands, signs on and off, hears the other tables. */

import { touchesResults, touchesSheet } from '../logic/day.js';
import { isCovered } from '../logic/lock.js';
import { timeWords } from '../logic/wording.js';

// Two questions in the time within which a worker must know that the server is gone.
const EVERY_MS = 800;
const TIMEOUT_MS = 1500;

export function dayActs(desk) {
  let askedAt = -Infinity;
  // Answers about the day may overtake each other: an older one never replaces a newer one.
  let asked = 0;
  let taken = 0;
  let stopListening = null;
  let isCovering = false;

  async function askDay() {
    askedAt = desk.now();
    asked += 1;
    const number = asked;
    const answer = await desk.heard(desk.get('/day', { timeoutMs: TIMEOUT_MS }));
    if (!answer || number < taken) return;
    taken = number;
    if (desk.isGood(answer)) desk.send({ type: 'day-came', day: answer.body });
    else desk.send({ type: 'day-failed', problem: answer.body });
  }

  /** What was asked before somebody signed on or off is about somebody else. */
  function askDayAnew() {
    taken = asked + 1;
    askDay();
  }

  function askDayWhenDue() {
    if (desk.now() - askedAt > EVERY_MS) askDay();
  }

  /** Listens to the other tables exactly while somebody is signed on. */
  function followSession() {
    const { view, connection } = desk.state;
    if (view === 'table' && !stopListening && connection.isReachable) {
      const lost = (isClosed) => {
        askDay();
        if (isClosed && stopListening === stop) stopListening = null;
      };
      const stop = desk.listen({ onBegan: desk.distrust, onEntry: entryCame, onLost: lost, onTurn: askDay });
      stopListening = stop;
    } else if (view !== 'table' && stopListening) {
      stopListening();
      stopListening = null;
    }
  }

  function entryCame(entry) {
    const { state } = desk;
    const time = timeWords(entry.at, state.day.election.time_zone);
    if (touchesSheet(state, entry)) desk.loadLine(state.sheet.lineId);
    desk.send({ type: 'entry-came', entry, time, at: desk.now() });
    if (touchesResults(state, entry)) desk.send({ type: 'asked-again' });
    askDay();
  }

  async function signOn({ initials, pin, station }) {
    desk.keepStation(station);
    const answer = await desk.heard(desk.post('/sign-on', { initials, pin, station }));
    const problem = desk.problemOf(answer);
    if (problem) {
      desk.send({ type: 'sign-on-refused', problem });
      return;
    }
    desk.send({ type: 'signed-on' });
    askDayAnew();
  }

  function keepCovered(before) {
    const { state } = desk;
    if (isCovered(before) !== isCovered(state)) desk.keepCovered(isCovered(state));
    // A record that is on its way is the worker's own, and goes first.
    if (isCovered(state) && !state.day.is_covered && !state.pending && !isCovering) coverAtServer();
  }

  /** What lies beneath is answered to nobody who has only the cookie. */
  async function coverAtServer() {
    isCovering = true;
    if (await desk.heard(desk.post('/cover', {}))) await askDay();
    isCovering = false;
  }

  async function signOff() {
    if (desk.state.pending) {
      desk.send({ type: 'sign-off-held' });
      return;
    }
    const answer = await desk.heard(desk.post('/sign-off', {}));
    if (!answer || !desk.isGood(answer)) return;
    desk.send({ type: 'signed-off' });
    askDayAnew();
  }

  return {
    askDay,
    askDayAnew,
    askDayWhenDue,
    followSession,
    follow: keepCovered,
    effects: { 'sign-on-asked': signOn, 'sign-off-asked': signOff },
  };
}
