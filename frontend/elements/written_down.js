/** What will be, or was, written down: one sentence, and what stands before and after it. */

import { h } from './paint.js';

/** The one sentence that stands above every last confirmation. */
export const writtenDown = (sentence, say) =>
  h(
    'p',
    { class: 'written', id: 'written', key: 'written' },
    h('strong', null, say('written.lead')),
    ' ',
    sentence,
  );

/**
 * What stands now and what would stand then; once it `isDone`, what stood before and stands
 * after. Each is one text or several.
 */
export const beforeAfter = (before, after, say, isDone = false) =>
  h(
    'dl',
    { class: 'before-after', key: 'before-after' },
    h('dt', null, say(isDone ? 'written.was' : 'written.before')),
    h('dd', null, [before].flat().map((each) => h('p', null, each))),
    h('dt', null, say(isDone ? 'written.is' : 'written.after')),
    h('dd', null, [after].flat().map((each) => h('p', null, each))),
  );
