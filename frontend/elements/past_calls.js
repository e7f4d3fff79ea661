/** Every call of today, newest first: who called, what it changed, and where it stands in the record. */

import { argumentOf } from '../logic/past_calls.js';
import { dateWords } from '../logic/wording.js';
import { button } from './controls.js';
import { lateAsk, markWords } from './late_parts.js';
import { h } from './paint.js';

export function pastCallsScreen(state, say, send) {
  const { calls } = state.late;
  return {
    title: say('calls.title'),
    back: say('late.back'),
    content: calls === null ? lateAsk(say('way.asking')) : all(calls, say, send),
  };
}

function all(calls, say, send) {
  if (!calls.length) return [lateAsk(say('calls.none')), h('p', { class: 'next', key: 'none' }, say('calls.none-next'))];
  const columns = ['when', 'caller', 'line', 'change', 'code'].map((each) => say(`calls.${each}`));
  return [
    lateAsk(say('calls.ask', { n: calls.length })),
    h(
      'div',
      { class: 'lists', key: 'calls' },
      h(
        'table',
        null,
        h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
        h('tbody', null, calls.map((call) => row(call, columns, say, send))),
      ),
    ),
  ];
}

const row = (call, columns, say, send) =>
  h(
    'tr',
    { key: String(call.seq) },
    [when, caller, line, change, code].map((cell, place) => h('td', { 'data-column': columns[place] }, cell(call, say, send))),
  );

const beneath = (...parts) => parts.filter(Boolean).map((each) => h('p', null, each));

const when = ({ local_time: time, station, initials, seq }, say) =>
  beneath(h('strong', null, time), say('calls.taken', { initials, station }), say('calls.entry', { seq: String(seq) }));

const caller = ({ caller: who, office, number_called_back: number }, say) =>
  beneath(h('strong', null, who), office, say('calls.back', { number: unbroken(number) }));

// A hyphen at which no line ends.
const unbroken = (number) => number.replaceAll('-', '\u2011').replaceAll(' ', '\u00a0');

/** Number and name of the line; of somebody on no line what the office said. */
const line = ({ line_id: lineId, name, voter_number: number }, say, send) =>
  lineId
    ? [
        ...beneath(h('strong', null, name), number),
        button(say('unrecorded.open-line'), () => send({ type: 'look-alike-opened', lineId, name }), { look: 'quiet', 'aria-label': say('calls.open', { name }) }),
      ]
    : say('calls.no-line');

const change = (call, say) =>
  beneath(
    h('strong', null, changeWords(call, say)),
    call.effect === 'already' && say('calls.already'),
    say('calls.asked', { asked: call.asked }),
  );

function changeWords(call, say) {
  const { detail, value } = argumentOf(call);
  const told = detail === 'birth_date' ? dateWords(value, say.language, 'long') : value;
  return say(`will-change.${call.what}`, {
    name: call.name || value,
    mark: markWords(value, say),
    detail: detail && say(`detail.${detail}`),
    value: told || say('change.blank'),
  });
}

const code = ({ code_used: isBound }, say) => say(isBound ? 'calls.with-code' : 'calls.without-code');
