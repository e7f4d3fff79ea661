/**
 * What lies over the box: the layers of the page that are open, uppermost first. Pure.
 *
 * A part of the page brings its layers along, by their slot of the state: the `place` that has
 * the focus once nothing lies over it, and `back`, the event of one step back. Where
 * something is written on it: `isOf(write, layer)` whether this was begun here, and
 * `refused(state, write, problem)` for the plain no. Some have `halted(state, live, at)`: what
 * becomes of them once the open line was signed, marked or removed elsewhere.
 */

import { focusOn } from './attention.js';

// The slots of the state that hold a layer, uppermost first. Null until its part is here.
const SLOTS = ['now', 'stations', 'lists', 'paperHours', 'dayWork', 'late', 'way'];

export const openSlots = (state) => SLOTS.filter((slot) => state[slot]);

/** What has the focus once no dialog is open any more. */
export function placeBehind(state, layers) {
  const [slot] = openSlots(state);
  if (slot) return layers[slot].place(state[slot]);
  return state.sheet ? 'verdict' : 'box';
}

/** What Escape means. */
export function escapeEvent(state, layers, at) {
  const [slot] = openSlots(state);
  if (slot) return { type: layers[slot].back, at };
  return { type: state.sheet ? 'sheet-left' : 'box-cleared' };
}

/** The uppermost slot that is worked with keys: a layer, or the open line. */
export const slotOfKeys = (state) => [...openSlots(state), 'sheet'].find((slot) => state[slot]?.guard);

/** The open layer that a write was begun on, if it was on one. */
export function layerOf(state, write, layers) {
  const slot = openSlots(state).find((each) => layers[each].isOf?.(write, state[each]));
  return layers[slot] ?? null;
}

/** The open line was changed at another table: what lies over it may be about that line. */
export const layersHalted = (state, live, at, layers) =>
  openSlots(state).reduce((next, slot) => layers[slot].halted?.(next, live, at) ?? next, state);

/** One step back in the dialog, if there is one; otherwise the dialog goes. */
export function dialogClosed(state, _, { layers, dialogsBehind }) {
  const { dialog } = state;
  if (!dialog) return state;
  const behind = dialogsBehind[dialog.kind]?.(dialog);
  if (behind) return focusOn({ ...state, dialog: behind.dialog }, behind.place);
  return focusOn({ ...state, dialog: null }, placeBehind(state, layers));
}
