/** Finding lines: each question takes the place of the one before it. */

import { BURST_MS, hasText, textToSend } from '../logic/search.js';

// Once no character has come for this long, a scan is over.
const SCAN_OVER_MS = 2 * BURST_MS;
const SHOWN_LINES = 8;
// As many as fit a dialog of a small window.
const SHOWN_IN_DIALOG = 5;

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

  /** The right line, looked for in the dialog that moves a signature. */
  async function findRightLine() {
    const { text, asked } = desk.state.dialog?.search ?? {};
    if (!text?.trim()) return;
    const answer = await desk.heard(desk.post('/find', { text, limit: SHOWN_IN_DIALOG }));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'right-lines-found', asked, problem, answer: problem ? null : answer.body });
  }

  return {
    stopFinding: () => search?.abort(),
    effects: {
      typed: findWhenTyped,
      'asked-again': find,
      'enter-pressed': holdEnter,
      found: tellFits,
      'right-line-typed': findRightLine,
    },
  };
}
