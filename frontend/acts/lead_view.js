/** What needs the lead, asked for as long as one is signed on; the turnout while it is in sight. */

import { isLead } from '../logic/day.js';
import { isCovered } from '../logic/lock.js';

// A quiet station makes no event: it is found by asking.
const EVERY_MS = 30_000;
// Ten tables make many events: asked again at most so often.
const SOON_MS = 1000;

export function leadViewActs(desk) {
  let askedAt = -Infinity;
  let isAsking = false;
  let isStale = true;
  // Whom the answers are for: of another lead's session nothing is taken.
  let askedFor = null;

  const isDue = () => {
    const waited = desk.now() - askedAt;
    return waited > EVERY_MS || (isStale && waited > SOON_MS);
  };

  async function ask() {
    const { day, now } = desk.state;
    askedFor = day.worker.worker_id;
    askedAt = desk.now();
    isAsking = true;
    isStale = false;
    try {
      const paths = now ? ['/attention', '/turnout'] : ['/attention'];
      const answers = await Promise.all(paths.map((path) => desk.heard(desk.get(path))));
      take(askedFor, answers);
    } finally {
      isAsking = false;
    }
  }

  function take(worker, [needs, turnout]) {
    if (desk.state.day?.worker?.worker_id !== worker) return;
    const problem = desk.problemOf(needs) ?? (turnout && desk.problemOf(turnout));
    if (turnout && desk.isGood(turnout)) desk.send({ type: 'turnout-came', turnout: turnout.body });
    if (problem) stale();
    desk.send({ type: 'needs-came', items: problem ? null : needs.body.items, problem });
  }

  const stale = () => {
    isStale = true;
  };
  const atOnce = () => {
    stale();
    askedAt = -Infinity;
  };

  return {
    follow() {
      const { view, day, connection } = desk.state;
      if (view !== 'table' || !isLead(desk.state) || isCovered(desk.state)) return;
      if (day.worker.worker_id !== askedFor && !isAsking) atOnce();
      if (!isAsking && connection.isReachable && isDue()) ask();
    },
    effects: {
      'now-opened': atOnce,
      'entry-came': stale,
      'write-accepted': stale,
      'signed-off': () => {
        askedFor = null;
      },
      'count-asked': () =>
        desk.openPaper(`/papers/posted-count.pdf?language=${desk.state.language}`, 'count-missing'),
    },
  };
}
