/** A form whose line was changed elsewhere: what happened, what was typed, and what to do next. */

import { authorisationOf } from '../logic/authorisations.js';
import { kindWords, sentenceOf } from '../logic/coded.js';
import { isDrawnOn, mayGoOn, typedOn } from '../logic/stopped.js';
import { answers } from './answers.js';
import { h } from './paint.js';
import { typedWords } from './unrecorded.js';

export function stoppedWay(state, say, send, ask) {
  const { way, sheet } = state;
  const { stopped: live } = way;
  return [
    ask(say('stopped.title')),
    h('p', { class: 'flags', key: 'by' }, say('sheet.live', { ...live, what: kindWords(say, live) })),
    h('p', { class: 'next', key: 'now' }, nowWords(sheet, say)),
    h('p', { class: 'next', key: 'none' }, h('strong', null, say('stopped.nothing'))),
    typedWords(typedOn(state).map(([label, field, value]) => [say(label), valueWords(field, value, way, say)]), isDrawnOn(state), say),
    answers([
      { key: 'line', words: say('stopped.to-line'), press: (event) => send({ type: 'stop-left', at: event.timeStamp }) },
      mayGoOn(state) && { key: 'on', words: say('stopped.go-on'), press: (event) => send({ type: 'stop-passed', at: event.timeStamp }) },
    ]),
  ];
}

function nowWords(sheet, say) {
  const reason = sheet?.verdict?.reasons[0];
  if (!sheet || sheet.isHalted) return say('way.asking');
  return reason ? sentenceOf(say, 'reason', reason) : say('stopped.still-open');
}

function valueWords(field, value, way, say) {
  if (field?.name === 'authorisation_seq') return authorisationOf(way, value)?.person ?? say('form.by-hand');
  if (field?.name === 'ballot_button') return say('form.button', { button: value });
  if (field?.name === 'authorised_how') return say(`how.${value}`);
  return typeof value === 'string' ? value : say('stopped.ticked');
}
