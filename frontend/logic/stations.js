/**
 * The lead's screen of further stations: who is let in, who is signed on where, whose PIN is
 * locked, what was refused at the door. Pure.
 *
 * `asking` is null, or what is to be said twice: `{ what, id, name }`, where `what` is revoke,
 * end or unlock. A code is on the screen as long as it is good, and nowhere else: `code` lets a
 * station in, `follow` is the command that lets a second laptop follow.
 */

import { focusOn } from './attention.js';
import { isLead } from './day.js';
import { placeBehind } from './layers.js';

// `over`: the lead's view that it was opened from, and that Escape goes back to.
function opened(state) {
  if (!isLead(state) || state.stations) return state;
  const stations = { list: null, code: null, follow: null, asking: null, isBusy: false, problem: null, over: state.now };
  return focusOn({ ...state, stations, now: null }, 'stations');
}

/** One step back: first from what is asked, then from the screen. */
function left(state, _, { layers }) {
  if (state.stations?.asking) return refusedToSay(state);
  const closed = { ...state, stations: null, now: state.stations?.over ?? null };
  return focusOn(closed, placeBehind(closed, layers));
}

const withStations = (state, changes) =>
  state.stations ? { ...state, stations: { ...state.stations, ...changes } } : state;

/** What was refused meanwhile stays in sight; that the list could not be had does not. */
const came = (state, { list, problem = null }) => {
  if (!list) return withStations(state, { problem });
  return withStations(state, { list, problem: state.stations?.list ? state.stations.problem : null });
};

const asked = (state, { asking }) => focusOn(withStations(state, { asking, problem: null }), 'asking');

const refusedToSay = (state) =>
  focusOn(withStations(state, { asking: null, problem: null, isBusy: false }), 'stations');

const refused = (state, { problem }) =>
  focusOn(withStations(state, { isBusy: false, problem }), state.stations?.asking ? 'asking' : 'problem');

/** `until` is a time of the page's own clock. */
const codeCame = (state, { code, until }) =>
  focusOn(withStations(state, { code: { text: code, until }, isBusy: false, problem: null }), 'code');

/** Eight letters are read in two groups. */
export const inGroups = (code) => `${code.slice(0, 4)} ${code.slice(4)}`;

/** The command for the second laptop, for `minutes`; `until` is a time of the page's own clock. */
const followCame = (state, { command, minutes, until }) =>
  focusOn(withStations(state, { follow: { command, minutes, until }, isBusy: false, problem: null }), 'follow');

/** How the second laptop stands, as the day tells it: null where none has joined. */
export const secondLaptop = ({ copies = [] }) =>
  copies.find(({ which, state }) => which === 'standby' && state !== 'waiting') ?? null;

export const isOver = (code, at) => Boolean(code) && at >= code.until;

/** Whether an entry of the day log changes what stands on the open screen. */
export const touchesStations = (state, entry) =>
  Boolean(state.stations) && /^(station|worker|door)\./.test(entry.kind);

/** The PINs that somebody should look at, the locked ones first. */
export const pinsToSee = ({ workers }) =>
  workers.filter(({ wrong }) => wrong > 0).sort((one, other) => other.is_locked - one.is_locked);

export const lastRefused = ({ refused: list }) => list.at(-1)?.seq ?? null;

/** As a layer over the box: see layers.js. */
export const stationsLayer = { place: ({ asking }) => (asking ? 'asking' : 'stations'), back: 'stations-left' };

export const stationEvents = {
  'stations-opened': opened,
  'stations-left': left,
  'stations-came': came,
  'station-asked': asked,
  'station-not-asked': refusedToSay,
  'station-said': (state) => withStations(state, { isBusy: true, problem: null }),
  'station-done': refusedToSay,
  'station-refused': refused,
  'code-wanted': (state) => withStations(state, { isBusy: true, problem: null }),
  'code-came': codeCame,
  'follow-wanted': (state) => withStations(state, { isBusy: true, problem: null }),
  'follow-came': followCame,
  'follow-gone': (state) => withStations(state, { follow: null }),
  'code-gone': (state) => withStations(state, { code: null }),
  'door-looked-at': (state) => withStations(state, { isBusy: true, problem: null }),
};
