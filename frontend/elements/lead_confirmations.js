/** What the lead has just corrected: a signature withdrawn, moved, or a voter who left or came back. */

import { cautionWords } from '../logic/coded.js';
import { flagged, named, next, verdictLike } from './confirmation.js';
import { h } from './paint.js';
import { beforeAfter } from './written_down.js';

export function withdrawn(done, say, day) {
  const facts = { time: done.localTime, initials: done.initials };
  return [
    verdictLike('taken-back', say('corrected.taken-back')),
    named(done),
    next(say('corrected.withdrawn-at', facts)),
    next(h('strong', null, say('corrected.ballot-is-out', day.registrar))),
    h('p', { class: 'caution' }, cautionWords(say, day.policy?.caution)),
  ];
}

const signature = (act, say) =>
  act
    ? say('written.signed', { time: act.local_time, station: act.station, initials: act.initials })
    : say('written.not-signed');
const lineOf = (one, say) => say('written.line', { name: one.name, what: signature(one.signature, say) });

export function moved(done, say, day) {
  const { before, after } = done;
  return [
    verdictLike('recorded', say('corrected.is-moved')),
    beforeAfter(
      [lineOf(before.from, say), lineOf(before.to, say)],
      [lineOf(after.from, say), lineOf(after.to, say)],
      say,
      true,
    ),
    flagged(done, say),
    h('p', { class: 'caution' }, cautionWords(say, day.policy?.caution)),
  ];
}

/** Signed and left without voting, or came back. */
export function gone(done, say, day) {
  return [
    verdictLike('recorded', say(`corrected.is-${done.kind}`)),
    named(done),
    next(say(`corrected.${done.kind}-next`, day.registrar)),
  ];
}
