/** Remembers where the log ended, and asks whether that is still there each time the server was away. */

import { mustAsk } from '../logic/seen_head.js';

export function seenHeadActs(desk) {
  // An answer counts for the server that gave it: none that was asked for before it went away.
  let timesAway = 0;
  let trustedAfter = -1;
  let isAsking = false;
  // What was shown while it was asked, should the server go away before it answers.
  let shown = null;

  const isTrusted = () => trustedAfter === timesAway;
  const distrust = () => (timesAway += 1);

  function remember(head) {
    trustedAfter = timesAway;
    shown = null;
    if (desk.seenHead()?.hash !== head.hash) desk.keepSeenHead(head);
    desk.send({ type: 'record-is-whole' });
  }

  async function dayCame() {
    const { head, is_covered: isCovered } = desk.state.day;
    // Nobody is signed on, or nothing is answered until the PIN is typed.
    if (!head || isCovered) return;
    if (isAsking) return note(head);
    // What was seen stays remembered until the lead has settled it, however long the log grows.
    if (desk.state.olderRecord && isTrusted()) return;
    const seen = desk.seenHead();
    if (mustAsk(seen, head, isTrusted())) await ask(seen);
    else remember(head);
  }

  function note(head) {
    if (shown?.began !== head.began || shown.seq < head.seq) shown = head;
  }

  async function ask(seen) {
    const asked = distrust();
    isAsking = true;
    note(desk.state.day.head);
    const answer = await desk.heard(desk.post('/log/seen', seen));
    isAsking = false;
    if (!answer || !desk.isGood(answer) || asked !== timesAway) return;
    trustedAfter = timesAway;
    const { head } = desk.state.day;
    if (!answer.body.is_there) desk.send({ type: 'older-record-found', seq: seen.seq });
    else if (shown.began === seen.began && shown.seq > Math.max(seen.seq, head?.seq ?? 0)) {
      // Shown before the server went away unasked: it is asked about next.
      desk.keepSeenHead(shown);
      distrust();
    }
    // What came meanwhile was shown, and is remembered like everything that was. Where it lies
    // before what was seen, the lead has settled that.
    else if (head) remember(head);
  }

  return {
    distrust,
    effects: {
      'day-came': dayCame,
      'server-failed': distrust,
      'entry-came': ({ entry }) => {
        // An irregularity: perhaps the one about this.
        if (desk.state.olderRecord && entry.kind.endsWith('.settled')) distrust();
      },
    },
  };
}
