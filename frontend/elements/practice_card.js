/** The card beside the table: who comes, what they say, and how the last one went. */

import { practicePress, roundOf } from '../logic/practice_part.js';
import { button, problemBox } from './controls.js';
import { h } from './paint.js';

export function practiceCard(state, say, send) {
  const round = roundOf(state);
  return h(
    'section',
    { class: 'practice-card', key: 'practice-card', 'aria-labelledby': 'practice-title' },
    h('h2', { id: 'practice-title' }, say('exercise.title')),
    problemBox(say, state.practice?.problem, { isKept: false }),
    round ? [result(round, state, say), visitor(round, state, say), buttons(round, state, say, send), score(round, say, send)] : null,
  );
}

/** How the last one went is read until the next one comes. */
function result({ now, last }, { language }, say) {
  if (now || !last) return null;
  return h(
    'div',
    { class: `practice-result ${last.result}`, key: `result-${last.code}` },
    h('h3', { tabindex: '-1', 'data-focus': 'practice-result' }, say(`exercise.${last.result}`)),
    h('p', { class: 'about' }, say('exercise.about', { number: last.number, title: last.title[language] })),
    last.wrong_actions > 0 && h('p', null, say('exercise.too-many', { n: last.wrong_actions })),
    last.faults.length > 0 && h('ul', null, last.faults.map((fault) => h('li', null, fault[language]))),
    h('p', null, last.why[language]),
  );
}

function visitor({ now, of, done }, { language }, say) {
  if (now) {
    return h(
      'div',
      { class: 'practice-visitor', key: `visitor-${now.code}` },
      h('h3', null, say('exercise.number', { number: now.number, of })),
      h('p', { class: 'says' }, now.says[language]),
      h('p', { class: 'hint' }, say('exercise.do-it')),
    );
  }
  if (done.length === of) return h('p', { key: 'all-done' }, say('exercise.all-done'));
  return done.length ? null : h('p', { key: 'start' }, say('exercise.start'));
}

function buttons({ now, of, done }, state, say, send) {
  const press = () => send(practicePress(state));
  const { isBusy } = state.practice;
  return h(
    'div',
    { class: 'buttons', key: 'buttons' },
    (now || done.length < of) &&
      button(say(now ? 'exercise.end' : 'exercise.next'), press, {
        key: now ? 'end' : 'next',
        isBusy,
        'aria-keyshortcuts': 'Alt+P',
      }),
    done.length === of &&
      button(say('exercise.again'), () => send({ type: 'practice-again-pressed' }), { key: 'again', isBusy }),
  );
}

function score({ done, of }, say, send) {
  const many = (result) => done.filter((one) => one.result === result).length;
  const counts = { right: many('right'), mended: many('mended'), wrong: many('wrong'), left: of - done.length };
  return h(
    'div',
    { class: 'practice-score', key: 'score' },
    h('p', null, say('exercise.so-far', counts)),
    button(say('exercise.print'), () => send({ type: 'practice-score-asked' }), { look: 'quiet', key: 'print' }),
  );
}
