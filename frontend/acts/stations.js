/** Further stations, sign-ons and the door: asked while the screen is open, and what is said there. */

import { isOver, lastRefused, touchesStations } from '../logic/stations.js';

const PATHS = {
  revoke: ({ id }) => `/stations/${id}/revoke`,
  end: ({ id }) => `/sign-ons/${id}/end`,
  unlock: ({ id }) => `/workers/${id}/unlock`,
};

export function stationActs(desk) {
  async function load() {
    const answer = await desk.heard(desk.get('/stations'));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'stations-came', list: problem ? null : answer.body, problem });
  }

  /** Sends it, and shows what came of it; `then` gets the answer where it was taken. */
  async function say(path, body, then) {
    const answer = await desk.heard(desk.post(path, body));
    const problem = desk.problemOf(answer);
    if (problem) desk.send({ type: 'station-refused', problem });
    else then(answer.body);
    load();
  }

  const done = () => desk.send({ type: 'station-done' });

  return {
    follow() {
      const { code, follow } = desk.state.stations ?? {};
      if (isOver(code, desk.now())) desk.send({ type: 'code-gone' });
      if (isOver(follow, desk.now())) desk.send({ type: 'follow-gone' });
    },
    effects: {
      'stations-opened': load,
      'entry-came': ({ entry }) => {
        if (!touchesStations(desk.state, entry)) return;
        // It lets nobody in any more.
        if (entry.kind === 'station.joined') desk.send({ type: 'code-gone' });
        load();
      },
      'code-wanted': () =>
        say('/stations/code', {}, ({ code, seconds }) =>
          desk.send({ type: 'code-came', code, until: desk.now() + seconds * 1000 }),
        ),
      'follow-wanted': () =>
        say('/copy/code', {}, ({ command, seconds }) =>
          desk.send({ type: 'follow-came', command, minutes: Math.round(seconds / 60), until: desk.now() + seconds * 1000 }),
        ),
      'station-said': ({ pin }) => {
        const { asking } = desk.state.stations;
        say(PATHS[asking.what](asking), pin === undefined ? {} : { pin }, done);
      },
      'door-looked-at': () =>
        say('/door/looked-at', { up_to_seq: lastRefused(desk.state.stations.list) }, done),
    },
  };
}
