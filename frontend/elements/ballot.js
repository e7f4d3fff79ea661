/** Which ballot this voter gets, large enough to be read from a step away. */

import { h } from './paint.js';

/** `number` null means one ballot for all. */
export const ballot = (number, say) =>
  h(
    'p',
    { class: 'ballot', key: 'ballot' },
    number === null
      ? h('span', { class: 'one-ballot' }, say('sheet.one-ballot'))
      : [h('span', null, say('sheet.ballot-button')), ' ', h('strong', null, String(number))],
  );
