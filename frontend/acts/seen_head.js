/** Remembers where the log ended, and asks whether that is still there each time the server was away. */

import { mustAsk } from '../logic/seen_head.js';

export function seenHeadActs(desk) {
  let isTrusted = false;
  let isAsking = false;

  function remember(head) {
    isTrusted = true;
    if (desk.seenHead()?.hash !== head.hash) desk.keepSeenHead(head);
    desk.send({ type: 'record-is-whole' });
  }

  async function dayCame() {
    const { head, is_covered: isCovered } = desk.state.day;
    // Nobody is signed on, or nothing is answered until the PIN is typed.
    if (!head || isCovered || isAsking) return;
    // What was seen stays remembered until the lead has settled it, however long the log grows.
    if (desk.state.olderRecord && isTrusted) return;
    const seen = desk.seenHead();
    if (mustAsk(seen, head, isTrusted)) await ask(seen);
    else remember(head);
  }

  async function ask(seen) {
    isTrusted = false;
    isAsking = true;
    const answer = await desk.heard(desk.post('/log/seen', seen));
    isAsking = false;
    if (!answer || !desk.isGood(answer)) return;
    isTrusted = true;
    desk.send(answer.body.is_there ? { type: 'record-is-whole' } : { type: 'older-record-found', seq: seen.seq });
  }

  return {
    distrust: () => (isTrusted = false),
    effects: {
      'day-came': dayCame,
      'server-failed': () => (isTrusted = false),
      'entry-came': ({ entry }) => {
        // An irregularity: perhaps the one about this.
        if (desk.state.olderRecord && entry.kind.endsWith('.settled')) isTrusted = false;
      },
    },
  };
}
