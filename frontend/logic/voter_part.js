/** The tables of the part "voter": the window that is turned to the voter. Pure. */

import { announce } from './attention.js';
import { LANGUAGES } from './voter_window.js';

// `language` null: the worker's. `heard` counts the drawings that came from this voter.
const fresh = { isOpen: false, isBlocked: false, language: null, turn: 0, heard: 0, isDone: false };

const withVoter = (state, changes) => ({ ...state, voter: { ...(state.voter ?? fresh), ...changes } });

const whileOpen = (change) => (state, event) => (state.voter ? change(state, event) : state);

// Told in the strip as well, which is in sight however small the window is.
const DONE = 'voter.said-done';
const untold = (state) => (state.notice?.key === DONE ? { ...state, notice: null } : state);

/** The next voter: nothing of the one before stays, neither language nor being done. */
const turned = (state, { turn }) =>
  withVoter(untold(state), { turn, language: null, heard: 0, isDone: false });

const spoken = (state, { language }) =>
  LANGUAGES.includes(language) ? withVoter(state, { language }) : state;

const drew = (state, { count }) => withVoter(untold(state), { heard: count, isDone: false });

function done(state) {
  if (state.voter.isDone) return state;
  return announce({ ...withVoter(state, { isDone: true }), notice: { key: DONE, facts: {} } }, DONE);
}

export const voterPart = {
  events: {
    'voter-screen-wanted': (state) => withVoter(state, { isBlocked: false }),
    'voter-screen-opened': whileOpen((state) => withVoter(state, { isOpen: true })),
    'voter-screen-blocked': whileOpen((state) => withVoter(state, { isOpen: false, isBlocked: true })),
    'voter-screen-closed': whileOpen((state) => ({ ...untold(state), voter: null })),
    'voter-turned': whileOpen(turned),
    'voter-spoke': whileOpen(spoken),
    'voter-drew': whileOpen(drew),
    'voter-done': whileOpen(done),
  },
};
