/** A laptop that follows: notices that it turned or records now, and takes over when the lead says so. */

import { hasTurned } from '../logic/standby.js';

// It tells the other laptop first, and waits for that.
const LONG_MS = 15_000;
// It serves anew within a few seconds; after that its silence is told like any other.
const BEGINS_MS = 20_000;

export function standbyActs(desk) {
  let tookOverAt = -Infinity;

  function follow(before) {
    const { day, tookOver, view } = desk.state;
    const was = before.day?.standby;
    if (was && !day.standby) desk.send({ type: 'standby-over' });
    else if (was && hasTurned(before, desk.state)) desk.send({ type: 'standby-turned' });
    const isLate = tookOver?.isStarting && desk.now() - tookOverAt > BEGINS_MS;
    if (tookOver && (view === 'table' || isLate)) desk.send({ type: 'took-over-read' });
  }

  const offer = () => desk.send({ type: 'take-over-offered' });

  return {
    follow,
    // What the one confirmation of its dialog writes: see correcting.js.
    standbyConfirmed: {
      'take-over': ({ text, pin }) =>
        desk.write('take-over', '/standby/take-over', { reason: text.trim(), pin }, { lineId: null, name: '', timeoutMs: LONG_MS }),
    },
    effects: {
      'now-opened': offer,
      // Opened before the first list had come.
      'needs-came': (_, before) => before.needs === null && offer(),
      'write-refused': () => desk.send({ type: 'take-over-refused' }),
      'write-accepted': (_, before) => {
        if (before.pending?.what === 'take-over') tookOverAt = desk.now();
      },
    },
  };
}
