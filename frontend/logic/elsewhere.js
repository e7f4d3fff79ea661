/**
 * Looking for a person in the list of the other precincts, and the place they belong to. Pure.
 *
 * `asked` counts the questions sent; an answer to any but the newest is dropped.
 */

import { withWay } from './way_state.js';

export const NOWHERE = { precinct: '', polling_place: '', place_address: '' };

export const freshElsewhere = (text) => ({
  text,
  people: [],
  ignored: [],
  // Whether the package brought such a list; null until the server has said.
  hasList: null,
  asked: 0,
  answered: 0,
  problem: null,
  chosen: null,
});

export const asPlace = ({ precinct, polling_place, place_address }) => ({
  precinct,
  polling_place,
  place_address,
});

const withElsewhere = (state, changes) =>
  withWay(state, { elsewhere: { ...state.way.elsewhere, ...changes } });

const searched = (state) =>
  withElsewhere(state, { asked: state.way.elsewhere.asked + 1, problem: null });

const typed = (state, { text }) => withElsewhere(state, { text });

function came(state, { asked, answer, problem }) {
  if (!state.way || asked !== state.way.elsewhere.asked) return state;
  if (!answer) return withElsewhere(state, { problem });
  return withElsewhere(state, {
    answered: asked,
    people: answer.people,
    ignored: answer.ignored,
    hasList: answer.has_list,
  });
}

/** A place typed by hand belongs to no row of the list. */
function placeTyped(state, { field, text }) {
  const { way } = state;
  return withWay(state, {
    place: { ...way.place, [field]: text },
    elsewhere: { ...way.elsewhere, chosen: null },
    problems: { ...way.problems, [field]: undefined },
  });
}

/** Whether the newest answer says that nobody in the list fits what stands in the field. */
export const isNobodyElsewhere = ({ text, asked, answered, people, hasList }) =>
  Boolean(hasList && text.trim() && asked > 0 && asked === answered && !people.length);

const onWay = (change) => (state, event) => (state.way ? change(state, event) : state);

export const elsewhereEvents = {
  'elsewhere-searched': onWay(searched),
  'elsewhere-typed': onWay(typed),
  'elsewhere-came': came,
  'place-typed': onWay(placeTyped),
};
