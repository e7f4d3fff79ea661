/** Handing over the closed day: one file for the registrar, made as often as it is asked for. Pure. */

import { announce } from './attention.js';
import { leadsHere } from './day.js';
import { whileAtWork, withWork } from './work_state.js';

export const mayHandOver = (state) => leadsHere(state) && state.day.phase === 'closed';

const asked = (state) => withWork(state, { handed: { isBusy: true }, problem: null });

function came(state, { answer, problem }) {
  if (problem) return withWork(state, { handed: null, problem });
  return announce(withWork(state, { handed: answer }), 'hand-over.said', {});
}

export const handOverEvents = {
  'hand-over-asked': whileAtWork((state) => (state.dayWork.handed?.isBusy ? state : asked(state))),
  'handed-over': whileAtWork(came),
};
