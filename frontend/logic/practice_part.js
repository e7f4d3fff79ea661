/** The tables of the part "practice": the worker's round through the exercises. Pure. */

import { announce, focusOn } from './attention.js';
import { onlyAsked } from './page.js';

// `worker` is whose round it is: nobody sees somebody else's.
const fresh = (worker) => ({ worker, round: null, isBusy: false, problem: null });

const withRound = (state, changes) => ({ ...state, practice: { ...state.practice, ...changes } });

/** The round of whoever is signed on now, null while it is not known. */
export const roundOf = ({ practice, day }) =>
  practice && practice.worker === day?.worker?.worker_id ? practice.round : null;

const asked = (state, { worker }) => ({ ...state, practice: { ...fresh(worker), round: roundOf(state), isBusy: true } });

/** What a button of the card asks for; `does` is what the answer is shown as. */
const pressed = (state) => (state.practice ? withRound(state, { isBusy: true, problem: null }) : state);

function came(state, { worker, round, does }) {
  if (state.practice?.worker !== worker) return state;
  const next = withRound(state, { round, isBusy: false, problem: null });
  if (does === 'begin') return focusOn(next, 'box');
  if (does === 'end' && round.last) return focusOn(announce(next, `exercise.${round.last.result}`), 'practice-result');
  return next;
}

const refused = (state, { worker, problem }) =>
  state.practice?.worker === worker ? withRound(state, { isBusy: false, problem }) : state;

/** What the one key of the card means now: the person leaves, or the next one comes. */
export function practicePress(state) {
  const round = roundOf(state);
  if (!round || state.practice.isBusy) return null;
  if (round.now) return { type: 'practice-end-pressed' };
  return round.done.length < round.of ? { type: 'practice-begin-pressed' } : null;
}

export const practicePart = {
  events: {
    ...onlyAsked('practice-score-asked'),
    'practice-asked': asked,
    'practice-begin-pressed': pressed,
    'practice-end-pressed': pressed,
    'practice-again-pressed': pressed,
    'practice-came': came,
    'practice-refused': refused,
    'practice-score-missing': (state) => ({ ...state, notice: { key: 'exercise.no-paper', facts: {} } }),
  },
  layers: {},
};
