/** What the cover of a page asks, and who goes on beneath it: see lock.js. Pure. */

import { focusOn } from './attention.js';
import { leftTable } from './day.js';
import { isCovered } from './lock.js';
import { leftUnrecorded } from './sheet.js';

const withCover = (state, changes) => (isCovered(state) ? { ...state, lock: { ...state.lock, ...changes } } : state);

/** The same worker: back to where the keys went. */
const uncovered = (state) => focusOn({ ...state, lock: null }, state.focus.on ?? 'box');

/** Somebody else: nothing of the worker before stays, but what was drawn is told as not recorded. */
function takenOver(state) {
  const { notice } = leftUnrecorded(state);
  return { ...leftTable(state, { isBusy: true, problem: null }), notice };
}

export const coverPart = {
  events: {
    'uncover-asked': (state) => withCover(state, { isBusy: true, problem: null }),
    'uncover-refused': (state, { problem }) => withCover(state, { isBusy: false, problem }),
    'other-worker-turned': (state) => withCover(state, { isOther: !state.lock?.isOther, problem: null }),
    uncovered,
    'taken-over': takenOver,
  },
};
