/** The lead's lists: who was sent where, provisional ballots, helpers. Pure. */

import { focusOn } from './attention.js';
import { placeBehind } from './layers.js';

const LIST_ROLES = new Set(['lead', 'registrar']);

export const maySeeLists = (state) => LIST_ROLES.has(state.day?.worker?.role);

// `over`: the lead's view that they were opened from, and that Escape goes back to.
const opened = (state) => {
  const lists = { people: null, ballots: null, helpers: null, limit: 0, problem: null, over: state.now };
  return focusOn({ ...state, lists, now: null }, 'lists');
};

/** All three lists come together, or the problem that kept them away. */
const came = (state, { answer, problem }) => {
  if (!state.lists) return state;
  return { ...state, lists: { ...state.lists, ...answer, problem: problem ?? null } };
};

function left(state, _, { layers }) {
  const closed = { ...state, lists: null, now: state.lists?.over ?? null };
  return focusOn(closed, placeBehind(closed, layers));
}

/** As a layer over the box: see layers.js. Nothing is written on it. */
export const listLayer = { place: () => 'lists', back: 'lists-left' };

const LISTED = /^(person\.|provisional\.|assistance\.)/;

/** Whether an entry of the day log changes what stands in an open list. */
export const touchesLists = (state, entry) => Boolean(state.lists) && LISTED.test(entry.kind);

export const overLimit = (lists) => (lists.helpers ?? []).filter((each) => each.over);

export const listEvents = {
  'lists-opened': opened,
  'lists-came': came,
  'lists-left': left,
};
