/** Seals: which are on what now, what was done with each, and writing down the next. */

import { mayKey } from '../logic/late_state.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { ruled, stampWords, thingWords, workAsk } from './work_parts.js';

export function sealsScreen(state, say, send) {
  const came = state.dayWork.seals;
  if (!came) return workAsk(say('way.asking'));
  return [
    workAsk(say('work.seals-ask')),
    mayKey(state) &&
      h(
        'div',
        { class: 'buttons', key: 'buttons' },
        button(say('work.seal'), (event) => send({ type: 'work-form-opened', kind: 'seal', at: event.timeStamp }), { look: 'primary', focus: 'work-seal' }),
      ),
    came.things.length > 0 &&
      ruled(
        say('work.seals-on'),
        ['thing', 'numbers'].map((column) => say(`work-column.${column}`)),
        came.things.map((each) => [thingWords(each, say), each.on.join(', ')]),
      ),
    came.seals.length > 0 &&
      ruled(
        say('work.seals-done'),
        ['thing', 'number', 'done', 'sheet', 'by'].map((column) => say(`work-column.${column}`)),
        [...came.seals].reverse().map((each) => [
          thingWords(each, say),
          each.number,
          say(`seal-act.${each.act}`),
          say(`agrees.${{ true: 'yes', false: 'no' }[each.agrees] ?? 'not-on-it'}`),
          [stampWords(each), each.reason].filter(Boolean).join(' · '),
        ]),
      ),
  ];
}
