/** What is wrong with a list: what only a list can meet has its words in their part. */

import { problemBox } from './controls.js';
import { h } from './paint.js';

export const listProblem = (say, problem) =>
  problem?.code === 'disk-nearly-full'
    ? h(
        'div',
        { class: 'problem', id: 'problem', key: 'problem', role: 'alert', tabindex: '-1', 'data-focus': 'problem' },
        h('p', null, say('bring.disk-nearly-full', problem)),
      )
    : problemBox(say, problem, { isKept: false });
