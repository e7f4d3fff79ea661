/** What was typed or drawn and not recorded stays readable. */

import { h } from './paint.js';

/** Readable until the worker leaves; `typed` is label and value each. */
export const typedWords = (typed, isDrawn, say) =>
  (typed.length > 0 || isDrawn) &&
  h(
    'div',
    { class: 'unrecorded', key: 'unrecorded' },
    h('h4', null, say('sheet.unrecorded')),
    typed.length > 0 && h('dl', null, typed.flatMap(([label, value]) => [h('dt', null, label), h('dd', null, value)])),
    isDrawn && h('p', null, say('sheet.unrecorded-drawn')),
  );

/** The same for what was open on the sheet itself. */
export const unrecorded = ({ unrecorded: kept }, say) =>
  kept && typedWords(kept.typed.map(([label, value]) => [say(label), value]), kept.isDrawn, say);
