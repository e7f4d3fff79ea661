/** What the voter sees: their own line in large words and the pad, or a calm page of nobody. */

import { h } from './paint.js';

// A button of its own: that of the table brings the words of every problem along.
const button = (words, press, { look = 'plain', isBusy = false, ...rest }) =>
  h(
    'button',
    { type: 'button', class: `button ${look}`, 'aria-disabled': isBusy ? 'true' : null, on: { click: () => isBusy || press() }, ...rest },
    words,
  );

export const voterView = (shown, send) => (shown.what === 'line' ? line(shown, send) : nobody(shown));

/** Over everything, in every language, whoever is shown. */
export const practiceBand = (practice) =>
  h(
    'aside',
    { class: 'practice-band', key: 'practice-band' },
    practice.map(({ language, words }) => h('p', { key: language, lang: language }, words)),
  );

const nobody = ({ waiting }) =>
  h(
    'main',
    { class: 'nobody', key: 'nobody' },
    (waiting ?? []).map(({ language, words }) => h('p', { key: language, lang: language }, words)),
  );

/** Another voter is another page: nothing that was drawn or pressed goes over. */
const line = (shown, send) =>
  h(
    'main',
    { class: 'line', key: `line-${shown.turn}`, 'aria-labelledby': 'voter-name' },
    languages(shown, send),
    h('h1', { id: 'voter-name', tabindex: '-1' }, shown.name),
    shown.address && h('p', { class: 'address', key: 'address' }, shown.address),
    h('p', { class: 'not-you', key: 'not-you' }, shown.words.notYou),
    h('p', { class: 'affirmation', id: 'affirmation', key: 'affirmation' }, shown.affirmation),
    pad(shown, send),
    h('p', { class: 'told', role: 'status', key: 'told' }, shown.isDone ? shown.words.thanks : shown.words.how),
    buttons(shown, send),
  );

const languages = ({ language, languages: all, words }, send) =>
  h(
    'div',
    { class: 'languages', role: 'group', 'aria-label': words.language, key: 'languages' },
    all.map((each) =>
      button(each.words, () => send({ what: 'language', language: each.language }), {
        key: each.language,
        lang: each.language,
        'aria-pressed': String(each.language === language),
      }),
    ),
  );

const pad = ({ strokes, isFixed, words }, send) =>
  h('signature-pad', {
    role: 'img',
    key: 'pad',
    class: isFixed ? 'fixed' : null,
    'aria-label': words.pad,
    'aria-describedby': 'affirmation',
    props: { strokes, ondrawn: (drawn) => send({ what: 'drew', strokes: drawn }) },
  });

function buttons({ strokes, isDone, isFixed, words }, send) {
  const isBlank = strokes.length === 0;
  return h(
    'div',
    { class: 'buttons', key: 'buttons' },
    button(words.redo, () => send({ what: 'drew', strokes: [] }), { key: 'redo', isBusy: isBlank || isFixed }),
    button(words.done, () => send({ what: 'done' }), {
      key: 'done',
      look: 'primary',
      isBusy: isBlank || isFixed || isDone,
    }),
  );
}
