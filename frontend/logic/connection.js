/**
 * Whether the server can be reached, from answers, failures and a ticking clock. Pure.
 */

// The worker must know within two seconds, and the clock ticks four times a second.
export const SILENCE_MS = 1600;

// A clock that ticks this late did not run in between: the laptop or the page slept.
const SLEPT_MS = 1200;

export const unheard = (at) => ({ isReachable: true, heardAt: at, tickedAt: at });

function ticked(connection, at) {
  if (at - connection.tickedAt > SLEPT_MS) return { ...connection, tickedAt: at, heardAt: at };
  const isSilent = at - connection.heardAt > SILENCE_MS;
  return { ...connection, tickedAt: at, isReachable: connection.isReachable && !isSilent };
}

export const connectionEvents = {
  'server-answered': (state, { at }) => ({
    ...state,
    connection: { ...state.connection, isReachable: true, heardAt: at },
  }),

  // A question asked before the newest answer came says nothing about now.
  'server-failed': (state, { askedAt }) =>
    state.connection.isReachable && askedAt >= state.connection.heardAt
      ? { ...state, connection: { ...state.connection, isReachable: false } }
      : state,

  'clock-ticked': (state, { at }) => ({ ...state, connection: ticked(state.connection, at) }),
};
