/** What several screens of late lists show: a person of a line, and two facts side by side. */

import { dateWords, timeWords } from '../logic/wording.js';
import { h } from './paint.js';

/** The sentence of a screen, very large. It has the focus. */
export const lateAsk = (words, key) =>
  h('h3', { class: 'ask', key: key ?? 'ask', tabindex: '-1', 'data-focus': 'late' }, words);

/** `born 1979-02-14` as the language writes a date; empty where the list gives none. */
export const bornWords = (isoDate, say) =>
  isoDate ? say('listed.born', { date: dateWords(isoDate, say.language, 'medium') }) : '';

export const addressWords = (person, say) =>
  person.address_protected ? say('note.protected') : person.address;

/** Name, birth date, number, address and standing of a line, to be compared with what is listed. */
export const personWords = (person, say) => [
  h('span', { class: 'name' }, person.name),
  h(
    'span',
    { class: 'more' },
    [
      bornWords(person.birth_date, say),
      person.voter_number,
      addressWords(person, say),
      person.standing && say(`standing.${person.standing}`),
    ]
      .filter(Boolean)
      .join(' · '),
  ),
];

/** Two facts of which at most one can be right, next to each other. */
export const sideBySide = (left, right) =>
  h(
    'div',
    { class: 'facing', key: 'facing' },
    [left, right].map(([title, content]) =>
      h('div', { key: title }, h('h4', null, title), [content].flat().filter(Boolean).map((each) => h('p', null, each))),
    ),
  );

const KIND_OF_LIST = { mail_voted: 'voted_by_mail', early_voted: 'voted_early' };

/** What stands on the line, in words: signed, marked, removed, given a provisional ballot. */
export function onLineWords(fact, say, zone) {
  const facts = { ...fact, time: timeOf(fact, zone), mark: markWords(fact.kind, say), source: sourceWords(fact.source, say) };
  const key = `on-line.${fact.what}`;
  return say(say.has(key) ? key : 'on-line.other', facts);
}

/** What the list, or the call, says about it. */
export function onListWords(fact, say) {
  if (fact.kind === 'paper') return say('on-list.paper', { ...fact, page: String(fact.page), order: String(fact.order) });
  const facts = { ...fact, mark: markWords(KIND_OF_LIST[fact.kind] ?? fact.kind, say), source: sourceWords(fact.source, say) };
  if (fact.kind === 'removals' || fact.kind === 'removed') return say('on-list.removals', facts);
  return say(fact.kind === 'supplemental' ? 'on-list.supplemental' : 'on-list.mark', facts);
}

export const markWords = (kind, say) => (say.has(`mark.${kind}`) ? say(`mark.${kind}`) : kind);
const sourceWords = (source, say) => (say.has(`source.${source}`) ? say(`source.${source}`) : source);

const timeOf = ({ at }, zone) => (at ? timeWords(at, zone) : null);

export const contradictionWords = ({ code, sentence }, say) =>
  say.has(`contradiction.${code}`) ? say(`contradiction.${code}`) : sentence;
