/** Buttons, fields and told problems: the small pieces that every view is made of. */

import { problemWords } from '../logic/coded.js';
import { h } from './paint.js';

/**
 * A button. `isBusy` keeps it focusable but marked as not usable: taking the focus away
 * would leave a keyboard worker nowhere.
 */
export const button = (words, press, { look = 'plain', focus, isBusy = false, ...rest } = {}) =>
  h(
    'button',
    {
      type: 'button',
      class: `button ${look}`,
      'data-focus': focus,
      'aria-disabled': isBusy ? 'true' : null,
      on: { click: (event) => isBusy || press(event) },
      ...rest,
    },
    words,
  );

/** A labelled one-line field. Nothing typed is offered again or sent to a spelling service. */
export const field = (label, { id, value, type, hint, isWrong = false, ...rest }, on) =>
  h(
    'div',
    { class: 'field' },
    h('label', { for: id }, label),
    hint && h('span', { class: 'hint', id: `${id}-hint` }, hint),
    h('input', {
      id,
      type: type ?? 'text',
      autocomplete: 'off',
      autocapitalize: 'off',
      spellcheck: 'false',
      'data-focus': id,
      'aria-invalid': isWrong ? 'true' : null,
      'aria-describedby': [hint && `${id}-hint`, isWrong && 'problem'].filter(Boolean).join(' ') || null,
      props: value === undefined ? {} : { value },
      on,
      ...rest,
    }),
  );

/** A problem in words: what is wrong, then what to do. Its place is kept while there is none. */
export function problemBox(say, problem, { lead = null, isKept = true } = {}) {
  if (!problem) return isKept ? h('div', { class: 'problem empty', key: 'problem' }) : null;
  const { title, next } = problemWords(say, problem);
  return h(
    'div',
    { class: 'problem', id: 'problem', key: 'problem', role: 'alert', tabindex: '-1', 'data-focus': 'problem' },
    lead && h('strong', null, lead),
    h('p', null, title),
    next && h('p', null, next),
  );
}
