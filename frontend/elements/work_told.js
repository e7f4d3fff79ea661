/** What must be read before going on: whom to call about it, and that the counts differ. */

import { answers } from './answers.js';
import { doubtWords } from './doubt_words.js';
import { h } from './paint.js';
import { workAsk } from './work_parts.js';

export function toldScreen(state, say, send) {
  const { told } = state.dayWork;
  return [
    told.flags.map((flag) => workAsk(doubtWords(flag, say), `flag-${flag.code}`)),
    told.call && workAsk(say('work.call', told.call), 'call'),
    told.call &&
      h('p', { class: 'large-fact', key: 'number' }, h('span', null, told.call.office), h('strong', { class: 'phone' }, told.call.phone || say('way.no-number'))),
    told.call && h('p', { class: 'next', key: 'written' }, say('work.call-written')),
    !told.call && h('p', { class: 'next', key: 'look' }, say('work.flag-next')),
    answers([{ key: 'read', words: say('work.go-on'), isMain: true, focus: 'work-told', press: (event) => send({ type: 'told-read', at: event.timeStamp }) }]),
  ];
}
