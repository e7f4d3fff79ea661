/** What several screens of the opening and the close show: their sentence, and codes in words. */

import { factsInWords } from './doubt_words.js';
import { h } from './paint.js';

/** The sentence of a screen, very large. It has the focus. */
export const workAsk = (words, key) =>
  h('h3', { class: 'ask', key: key ?? 'ask', tabindex: '-1', 'data-focus': 'work' }, words);

/** Who did it and when, as it stands beside every line of the page. */
export const stampWords = ({ local_time: time, initials, station }) => [time, initials, station].filter(Boolean).join(' · ');

/** What a seal is on, with the words that tell it from others of its kind. */
export const thingWords = ({ of, where }, say) => [say(`seal-of.${of}`), where].filter(Boolean).join(' ');

export const causeWords = ({ code, sentence, facts }, say) =>
  say.has(`cause.${code}`) ? say(`cause.${code}`, factsInWords(facts, say)) : sentence;

/** A check that is the program's own is told in the worker's language, the package's as it came. */
export const checkWords = ({ shipped }, { code, sentence }, say) =>
  shipped && say.has(`check.${code}`) ? say(`check.${code}`) : sentence;

/** A table whose cells carry their column's name, so that it can stand upright in a narrow window. */
export const ruled = (caption, columns, rows) =>
  h(
    'table',
    { class: 'ruled', key: caption },
    h('caption', null, caption),
    h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
    h(
      'tbody',
      null,
      rows.map((cells) =>
        h(
          'tr',
          null,
          cells.map((cell, place) =>
            place === 0
              ? h('th', { scope: 'row' }, cell)
              : h('td', { 'data-column': columns[place] }, cell === null || cell === '' ? '–' : cell),
          ),
        ),
      ),
    ),
  );
