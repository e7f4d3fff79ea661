/** Irregularities: the open ones oldest first, each with both facts, until the lead settles them. */

import { leadsHere } from '../logic/day.js';
import { mayKey } from '../logic/late_state.js';
import { button } from './controls.js';
import { doubtWords } from './doubt_words.js';
import { contradictionWords, lateAsk, onLineWords, onListWords, sideBySide } from './late_parts.js';
import { h } from './paint.js';

export function irregularitiesScreen(state, say, send) {
  const { irregularities: came } = state.late;
  return {
    title: say('irregular.title'),
    back: say('late.back'),
    content: came === null ? lateAsk(say('way.asking')) : all(came, state, say, send),
  };
}

function all({ irregularities, open: n }, state, say, send) {
  const open = irregularities.filter((each) => !each.settled);
  const settled = irregularities.filter((each) => each.settled);
  return [
    lateAsk(say(n ? 'irregular.open' : 'irregular.none', { n }), 'ask'),
    mayKey(state) && button(say('irregular.write'), () => send({ type: 'dialog-opened', kind: 'irregularity' }), { key: 'write' }),
    open.map((each) => one(each, state, say, send)),
    settled.length > 0 &&
      h(
        'details',
        { key: 'settled' },
        h('summary', null, say('irregular.settled', { n: settled.length })),
        settled.map((each) => one(each, state, say, send)),
      ),
  ];
}

const one = (each, state, say, send) =>
  h(
    'article',
    { class: 'contradiction', key: String(each.seq), tabindex: '-1', 'data-focus': `irregularity-${each.seq}` },
    h('p', { class: 'hint' }, [each.local_time, each.station, each.initials, say(`irregularity.${each.irregularity}`)].filter(Boolean).join(' · ')),
    each.person && h('p', { class: 'name' }, h('strong', null, each.person.name)),
    h('p', null, h('strong', null, saidOf(each, say))),
    each.code && bothFacts(each, state, say),
    each.told && h('p', null, say('irregular.told', { told: each.told })),
    each.done && h('p', null, say('irregular.done', { done: each.done })),
    each.settled
      ? h('p', null, say('irregular.how', { how: each.settled.how, time: each.settled.local_time, initials: each.settled.initials }))
      : h(
          'div',
          { class: 'buttons' },
          leadsHere(state) &&
            button(say('irregular.settle'), () => send(settleEvent(each, say)), {
              key: 'settle',
              'aria-label': say('irregular.settle-of', { what: each.person?.name ?? (each.what || saidOf(each, say)) }),
            }),
          each.person &&
            button(say('unrecorded.open-line'), () => send({ type: 'look-alike-opened', lineId: each.person.line_id, name: each.person.name }), { key: 'open', look: 'quiet' }),
        ),
  );

/** What the program opened it for, in the lead's language, and what was written with it. */
function saidOf(each, say) {
  const { code, what } = each;
  if (!code) return what;
  if (say.has(`contradiction.${code}`)) return contradictionWords(each, say);
  if (!say.has(`doubt.${code}`)) return what;
  const told = doubtWords({ code, facts: each.facts.doubts?.[0]?.facts ?? each.facts }, say);
  return say('irregular.said', { told, what });
}

const settleEvent = (each, say) => ({
  type: 'dialog-opened',
  kind: 'settle-irregularity',
  seq: each.seq,
  name: each.person?.name ?? '',
  what: saidOf(each, say),
});

function bothFacts({ facts }, { day }, say) {
  if (!facts.on_line || !facts.on_list) return null;
  return sideBySide(
    [say('listed.on-line'), onLineWords(facts.on_line, say, day.election.time_zone)],
    [say('listed.on-list'), onListWords(facts.on_list, say)],
  );
}
