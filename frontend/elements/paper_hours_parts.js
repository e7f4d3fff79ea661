/** What the screens of the hours on paper share: their sentence, a place on paper, problems. */

import { problemBox } from './controls.js';
import { h } from './paint.js';

/** The sentence of a screen, very large. It has the focus. */
export const hoursAsk = (words, key) =>
  h('h3', { class: 'ask', key, tabindex: '-1', 'data-focus': 'hours' }, words);

/** From when until when; an end that nobody said is left out. */
export const spanWords = ({ from, until }, say) => say(until ? 'on-paper.span' : 'on-paper.since', { from, until });

/** `page 3, signature 2, 14:20`: where the finger is. */
export const placeWords = ({ page, order, time }, say) => say('on-paper.place', { page: String(page), order: String(order), time });

/** What cannot be right about a field, beside it: a code, or the server's problem. */
export function besideWords(problem, say) {
  if (!problem) return null;
  if (problem.code) return say(problem.why === 'turned-round' ? 'hours-wrong.turned-round' : `hours-wrong.${problem.code}`, problem);
  return say(`hours-lack.${problem}`);
}

/** A problem of these screens has words of its own; any other is told as everywhere. */
export const hoursProblem = (problem, say) =>
  problem && say.has(`hours-wrong.${problem.code}`)
    ? h('p', { class: 'problem', id: 'problem', key: 'problem', role: 'alert', tabindex: '-1', 'data-focus': 'problem' }, say(`hours-wrong.${problem.code}`, problem))
    : problemBox(say, problem, { isKept: false });
