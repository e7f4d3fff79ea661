/** The way of a person whom no line fits: one question or one ending at a time, in large words. */

import { cautionWords, sentenceOf } from '../logic/coded.js';
import { formNow } from '../logic/way_state.js';
import { answers } from './answers.js';
import { button, problemBox } from './controls.js';
import { ending } from './endings.js';
import { guardKeys } from './guard.js';
import { h } from './paint.js';
import { stoppedWay } from './stopped.js';
import { question } from './way_questions.js';

export function wayOut(state, say, send, page) {
  const { way } = state;
  const guards = guardKeys(page, (newest) => newest.way?.guard, send, (event) =>
    send({ type: 'way-back', at: event.timeStamp }),
  );
  return h(
    'section',
    { class: 'way', key: `way-${way.openedAt}`, 'aria-labelledby': 'way-who', on: guards },
    top(state, say, send),
    h(
      'div',
      { class: 'way-body', key: bodyKey(way) },
      inside(state, say, send),
    ),
    (way.stopped || formNow(way)?.stage !== 'fields') && h('p', { class: 'hint keys' }, say(hasField(way) ? 'way.keys-from-field' : 'way.keys')),
    h('p', { class: 'caution' }, cautionWords(say, way.caution || state.day.policy?.caution)),
  );
}

// There a number is part of what is typed.
const hasField = ({ ending: code, question: asked, stopped }) =>
  !stopped && !code && ['spelled-otherwise', 'where-registered'].includes(asked?.code);

// Another question is another place: what was focused or half-chosen there does not carry over.
const bodyKey = ({ isLeaving, stopped, ending: code, isDeclined, question: asked }) =>
  `body-${stopped ? 'stopped' : isLeaving ? 'leaving' : (code ?? asked?.code ?? 'options')}-${isDeclined}`;

function inside(state, say, send) {
  if (state.way.stopped) return stoppedWay(state, say, send, ask);
  return state.way.isLeaving ? leaving(say, send) : body(state, say, send);
}

/** Where Escape goes now. */
function backKey({ line, answered, ending: code, isDirect, stopped }) {
  if (stopped || (line && (isDirect || !code))) return 'way.to-line';
  return answered.length || code ? 'way.back' : 'way.leave';
}

/** Who this is about, what has been answered so far, and the one step back. */
function top({ way }, say, send) {
  return h(
    'div',
    { class: 'way-top', key: 'top' },
    button(
      say(backKey(way)),
      (event) => send({ type: 'way-back', at: event.timeStamp }),
      { look: 'quiet', 'aria-keyshortcuts': 'Escape' },
    ),
    h('h2', { id: 'way-who' }, way.line ? way.line.name : say('way.nobody', { typed: way.typed })),
    h(
      'ul',
      { class: 'done' },
      way.answered.map((field) =>
        h('li', { key: field }, say(`so-far.${field}-${way.situation[field]}`)),
      ),
    ),
  );
}

/** The words of a question, an ending or a list of options, very large. They have the focus. */
export const ask = (words) =>
  h('h3', { class: 'ask', id: 'way-ask', tabindex: '-1', 'data-focus': 'way' }, words);

function body(state, say, send) {
  const { way } = state;
  if (way.ending) return ending(state, say, send, ask);
  if (way.question) return [question(state, say, send, ask), problemBox(say, way.problem, { isKept: false })];
  if (!way.options.length) {
    return [ask(say('way.asking')), problemBox(say, way.problem, { isKept: false })];
  }
  return [
    ask(say('way.options')),
    answers(
      way.options.map((option) => ({
        code: option.code,
        words: optionWords(option, way, say),
        press: (event) => send({ type: 'ending-chosen', code: option.code, at: event.timeStamp }),
      })),
      { isBusy: way.isBusy },
    ),
    problemBox(say, way.problem, { isKept: false }),
  ];
}

/** The registrar's word has been heard: the option no longer depends on it. */
const optionWords = (option, { situation }, say) =>
  option.code === 'correction-affidavit' && situation.registrar === 'authorised'
    ? say('way.authorised')
    : sentenceOf(say, 'option', option);

function leaving(say, send) {
  return [
    ask(say('way.leaving')),
    answers([
      { key: 'stay', words: say('way.stay'), press: () => send({ type: 'way-stayed' }) },
      { key: 'go', words: say('way.give-up'), press: () => send({ type: 'way-given-up' }) },
    ]),
  ];
}
