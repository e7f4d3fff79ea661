/** The closed day as one file: made here, kept from here, and compared by its last hash. */

import { mayHandOver } from '../logic/handing_over.js';
import { button } from './controls.js';
import { h } from './paint.js';

export function handingOver(state, say, send) {
  if (!mayHandOver(state)) return null;
  const { handed } = state.dayWork;
  return h(
    'section',
    { class: 'hand-over', key: 'hand-over', 'aria-labelledby': 'hand-over-title' },
    h('h3', { id: 'hand-over-title' }, say('hand-over.title')),
    h('p', null, say('hand-over.what')),
    h(
      'div',
      { class: 'buttons' },
      button(say(handed?.isBusy ? 'hand-over.busy' : 'hand-over.make'), () => send({ type: 'hand-over-asked' }), {
        key: 'make',
        look: handed ? 'plain' : 'primary',
        isBusy: Boolean(handed?.isBusy),
      }),
    ),
    handed?.name && made(handed, say),
  );
}

const made = ({ name, files, last_hash_in_fours: hash }, say) =>
  h(
    'div',
    { class: 'made', key: 'made' },
    h('p', null, h('a', { class: 'button', href: '/api/exports/bundle.zip', download: name }, say('hand-over.keep'))),
    h('p', null, say('hand-over.files', { n: files, name })),
    h('p', null, say('hand-over.compare')),
    h('p', { class: 'number' }, h('strong', null, hash)),
  );
