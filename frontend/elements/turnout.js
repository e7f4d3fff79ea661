/** The turnout so far: an hour a row with its number and its bar, the sums, what was printed. */

import { hourRows, shareWords } from '../logic/turnout.js';
import { button } from './controls.js';
import { h } from './paint.js';

const SVG = { xmlns: 'http://www.w3.org/2000/svg' };

export function turnout({ now }, say, send) {
  const { turnout: came } = now;
  return h(
    'section',
    { class: 'turnout', key: 'turnout', 'aria-labelledby': 'turnout-title' },
    h('h3', { id: 'turnout-title' }, say('turnout.title')),
    came ? content(came, say) : h('p', { class: 'hint' }, say('now.asking')),
    h(
      'div',
      { class: 'buttons', key: 'buttons' },
      button(say('turnout.print'), () => send({ type: 'count-asked' }), { key: 'print' }),
    ),
    now.isUnprinted
      ? h('p', { class: 'problem', role: 'alert', key: 'unprinted' }, say('turnout.not-printed'))
      : h('p', { class: 'hint' }, say('turnout.print-hint')),
  );
}

const content = (came, say) => [sums(came, say), hours(came, say), marks(came, say)];

function sums({ total, left, share, eligible, outside, local_time: time }, say) {
  const told = [
    say('turnout.total', { n: total.signed, time }),
    share !== null && say('turnout.share', { share: shareWords(share, say.language), n: eligible }),
    total.affidavit > 0 && say('turnout.affidavit', { n: total.affidavit }),
    total.provisional > 0 && say('turnout.provisional', { n: total.provisional }),
    left > 0 && say('turnout.left', { n: left }),
    outside.signed > 0 && say('turnout.outside', { n: outside.signed }),
  ];
  const [first, ...rest] = told.filter(Boolean);
  return [
    h('p', { class: 'total', key: 'total' }, first),
    rest.map((words) => h('p', { key: words }, words)),
  ];
}

const hours = (came, say) =>
  h(
    'table',
    { key: 'hours' },
    h('caption', null, say('turnout.by-hour')),
    h(
      'thead',
      null,
      h(
        'tr',
        null,
        h('th', { scope: 'col' }, say('turnout.hour')),
        h('th', { scope: 'col', class: 'figure' }, say('turnout.signed')),
        h('td', { 'aria-hidden': 'true' }),
        h('th', { scope: 'col', class: 'figure' }, say('turnout.so-far')),
      ),
    ),
    h('tbody', null, hourRows(came).map((row) => hour(row, say))),
  );

/** An hour that has not begun has no number: none is not nought. */
const hour = (row, say) =>
  h(
    'tr',
    { key: row.key, class: row.isNow ? 'is-now' : null },
    h('th', { scope: 'row' }, say('turnout.from-to', row), row.isNow && h('span', { class: 'until-now' }, ` ${say('turnout.until-now')}`)),
    h('td', { class: 'figure' }, row.signed === null ? '–' : String(row.signed)),
    h('td', { class: 'bar', 'aria-hidden': 'true' }, row.signed !== null && bar(row.width)),
    h('td', { class: 'figure' }, row.signed === null ? '–' : String(row.soFar)),
  );

const bar = (width) =>
  h(
    'svg',
    { ...SVG, viewBox: '0 0 100 10', preserveAspectRatio: 'none', focusable: 'false' },
    h('rect', { ...SVG, width: String(width), height: '10', fill: 'currentColor' }),
  );

/** Who voted otherwise: by the source that said so. */
const marks = ({ marks: all }, say) =>
  all.length > 0 && [
    h('h4', { key: 'marks-title' }, say('turnout.marks')),
    h(
      'ul',
      { key: 'marks' },
      all.map(({ mark, source, count }) =>
        h('li', { key: `${mark} ${source}` }, say(`turnout.${mark}`, { n: count, source: sourceWords(source, say) })),
      ),
    ),
  ];

const sourceWords = (source, say) => (say.has(`source.${source}`) ? say(`source.${source}`) : source);
