/** One possible cause: what it says, when it may have happened, and the places to look at. */

import { LINES_AT_ONCE } from '../logic/balance.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { causeWords, workAsk } from './work_parts.js';

// A night has only so many hours: the first times are the likely ones.
const TIMES_AT_ONCE = 3;

export function causeScreen(state, say, send) {
  const { cause } = state.dayWork;
  const places = [...lines(cause, send), ...machines(cause, say, send), ...lists(cause, say, send)];
  return [
    button(say('balance.back'), (event) => send({ type: 'work-back', at: event.timeStamp }), { key: 'back', look: 'quiet' }),
    workAsk(causeWords(cause, say), `cause-${cause.code}`),
    h('p', { class: 'next', key: 'do' }, say(`cause-do.${DO[cause.explains] ?? 'look'}`)),
    times(cause, say),
    cause.lines.length > 0 && cause.people === null && h('p', { class: 'hint', key: 'asking' }, say('way.asking')),
    cause.lines.length > LINES_AT_ONCE && h('p', { class: 'hint', key: 'more' }, say('balance.more-lines', { n: cause.lines.length - LINES_AT_ONCE })),
    places.length > 0 && answers(places),
    places.length === 0 && !cause.lines.length && h('p', { class: 'next', key: 'nowhere' }, say('balance.nowhere')),
  ];
}

const DO = { marks: 'list', protective: 'machine' };

const times = ({ times: all }, say) =>
  all.length > 0 &&
  h(
    'ul',
    { class: 'reasons', key: 'times' },
    all.slice(0, TIMES_AT_ONCE).map(({ local_begins: begins, local_ends: ends }, place) =>
      h('li', { key: String(place) }, begins === ends ? say('balance.at', { begins }) : say(spanKey(begins, ends), { begins, ends })),
    ),
  );

const spanKey = (begins, ends) => `balance.${begins && ends ? 'between' : begins ? 'after' : 'before'}`;

const lines = ({ people }, send) =>
  (people ?? []).map(({ lineId, name, signed }) => ({
    key: lineId,
    words: [h('span', { class: 'name' }, name), signed && h('span', { class: 'more' }, [signed.local_time, signed.station, signed.initials].filter(Boolean).join(' · '))],
    press: () => send({ type: 'look-alike-opened', lineId, name }),
  }));

const machines = ({ serials, code }, say, send) =>
  serials.map((serial) => ({
    key: serial,
    words: say('balance.look-machine', { serial }),
    press: (event) =>
      send(
        code === 'machine-not-read'
          ? { type: 'work-form-opened', kind: 'reading', serial, moment: 'close', at: event.timeStamp }
          : { type: 'work-went', screen: 'machines', at: event.timeStamp },
      ),
  }));

const lists = ({ facts }, say, send) =>
  facts.list ? [{ key: 'list', words: say('balance.look-list', { list: facts.list }), press: () => send({ type: 'cause-list-wanted', name: facts.list, kind: facts.list_kind }) }] : [];
