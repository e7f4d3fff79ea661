/** What is odd about the row that was just keyed, in large words, before the next one. */

import { isLead } from '../logic/day.js';
import { answers } from './answers.js';
import { doubtWords } from './doubt_words.js';
import { contradictionWords, onLineWords, onListWords, sideBySide } from './late_parts.js';
import { h } from './paint.js';
import { hoursAsk, placeWords } from './paper_hours_parts.js';
import { undoEvent } from './paper_rows.js';

export function toldRow(state, say, send) {
  const { row, flags, call } = state.paperHours.told;
  return [
    h('p', { class: 'next', key: 'about' }, h('strong', null, row.name), ` · ${placeWords(row, say)}`),
    row.contradiction && hoursAsk(contradictionWords(row.contradiction, say), 'contradiction'),
    !row.contradiction && row.effect === 'duplicate' && hoursAsk(say('on-paper.told-duplicate'), 'duplicate'),
    flags.map((flag) => hoursAsk(doubtWords(flag, say), `flag-${flag.code}-${flag.facts.row_number ?? ''}`)),
    row.contradiction && clash(row.contradiction, state, say),
    call && isLead(state) && phone(call, say),
    h('p', { class: 'next', key: 'kept' }, say(isLead(state) ? 'on-paper.told-kept-lead' : 'on-paper.told-kept')),
    answers([
      { key: 'read', words: say('on-paper.go-on'), isMain: true, focus: 'hours-told', press: (event) => send({ type: 'hours-told-read', at: event.timeStamp }) },
      { key: 'undo', words: say('on-paper.keyed-wrongly'), press: (event) => send(undoEvent(row, event.timeStamp)) },
    ]),
  ];
}

const clash = ({ on_line: onLine, on_paper: onPaper }, { day }, say) =>
  h(
    'div',
    { class: 'contradiction', key: 'clash' },
    sideBySide(
      [say('listed.on-line'), onLineWords(onLine, say, day.election.time_zone)],
      [say('on-paper.says'), onListWords({ ...onPaper, kind: 'paper' }, say)],
    ),
  );

const phone = (call, say) => [
  h('p', { class: 'next', key: 'call' }, say('on-paper.call', call)),
  h('p', { class: 'large-fact', key: 'number' }, h('span', null, call.office), h('strong', { class: 'phone' }, call.phone || say('way.no-number'))),
];
