/** Finding lines: each question takes the place of the one before it. */

import { isStandby } from '../logic/day.js';
import { BURST_MS, hasText, textToSend } from '../logic/search.js';

// Once no character has come for this long, a scan is over.
const SCAN_OVER_MS = 2 * BURST_MS;
const SHOWN_LINES = 8;

export function findingActs(desk) {
  let search = null;
  let scanTimer = null;

  async function find() {
    search?.abort();
    if (!hasText(desk.state.search)) return;
    search = new AbortController();
    const { signal } = search;
    const { asked } = desk.state.search;
    try {
      const body = { text: textToSend(desk.state.search), limit: SHOWN_LINES };
      const answer = await desk.heard(desk.post('/find', body, { signal }));
      if (!answer) desk.send({ type: 'not-found', asked });
      else if (!desk.isGood(answer)) desk.send({ type: 'not-found', asked, problem: answer.body });
      else desk.send({ type: 'found', asked, answer: answer.body });
    } catch (error) {
      // A newer question has taken its place; anything else is a fault of ours.
      if (error.name !== 'AbortError') throw error;
    }
  }

  /** A person's key is answered at once; of a scan only the whole is asked for. */
  function findWhenTyped() {
    clearTimeout(scanTimer);
    if (!desk.state.search.isBurst) find();
    else scanTimer = setTimeout(find, BURST_MS);
  }

  function holdEnter() {
    if (!desk.state.search.isHeld) return;
    clearTimeout(scanTimer);
    scanTimer = setTimeout(() => {
      desk.send({ type: 'burst-ended' });
      if (desk.state.search.isEntering) find();
    }, SCAN_OVER_MS);
  }

  function tellFits(_, before) {
    const { state } = desk;
    if (state !== before && !state.sheet && !state.way && !before.search.isRefresh) {
      desk.send({ type: 'fits-told' });
    }
  }

  /** Enter where no line fits: the way of the person who is there begins. */
  function followLost(_, before) {
    // Such a way ends in a record, and begins where one is made.
    if (isStandby(desk.state)) return;
    const { lostAt } = desk.state.search;
    if (lostAt !== null && lostAt !== before.search.lostAt) desk.send({ type: 'lost-opened', at: lostAt });
  }

  return {
    stopFinding: () => search?.abort(),
    effects: {
      typed: findWhenTyped,
      'asked-again': find,
      'enter-pressed': (event, before) => {
        holdEnter();
        followLost(event, before);
      },
      'burst-ended': followLost,
      found: tellFits,
    },
  };
}
