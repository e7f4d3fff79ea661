/** Bringing a list as a file; where it was applied before, or cannot be read, that is said here. */

import { KINDS } from '../logic/bring.js';
import { problemWords } from '../logic/coded.js';
import { button } from './controls.js';
import { choiceField, filledIn } from './fields.js';
import { lateAsk } from './late_parts.js';
import { faultWords } from './late_reasons.js';
import { listProblem } from './list_problem.js';
import { h } from './paint.js';

export function bringScreen(state, say, send) {
  return {
    title: say('late.bring'),
    back: say('late.back'),
    content: [lateAsk(say('bring.ask')), form(state.late.bring, say, send), outcome(state.late.bring, say, send)],
  };
}

function form({ kind, name, problems, isBusy }, say, send) {
  const choices = KINDS.map((value) => ({ value, words: say(`list-kind.${value}`) }));
  return h(
    'form',
    {
      class: 'paper',
      key: 'form',
      novalidate: true,
      on: filledIn(() => {
        if (!isBusy) send({ type: 'bring-submitted' });
      }),
    },
    choiceField(
      say('bring.kind'),
      { id: 'bring-kind', value: kind, choices, problem: problems.kind && say(`lack.${problems.kind}`) },
      (value) => send({ type: 'bring-kind-chosen', kind: value }),
    ),
    fileField(name, problems.file && say(`lack.${problems.file}`), say, send),
    button(say(isBusy ? 'bring.busy' : 'bring.press'), () => {}, { look: 'primary', type: 'submit', isBusy }),
  );
}

/** Space or Enter on it opens the chooser of the browser. */
const fileField = (name, problem, say, send) =>
  h(
    'div',
    { class: 'field', key: 'file' },
    h('label', { for: 'bring-file' }, say('bring.file')),
    h('span', { class: 'hint', id: 'bring-file-hint' }, say('bring.file-hint')),
    h('input', {
      id: 'bring-file',
      type: 'file',
      accept: '.csv,.txt,.xlsx',
      'data-focus': 'bring-file',
      'aria-invalid': problem ? 'true' : null,
      'aria-describedby': 'bring-file-hint bring-file-problem',
      on: {
        change: (event) => {
          const [file] = event.target.files;
          if (file) send({ type: 'bring-file-chosen', name: file.name, size: file.size, file });
        },
      },
    }),
    h('p', { class: 'beside', id: 'bring-file-problem' }, problem),
  );

function outcome({ problem, name }, say, send) {
  if (!problem) return null;
  if (problem.code === 'list-applied-already') return appliedBefore(problem, say, send);
  if (problem.code === 'list-unreadable') return unreadable(problem, name, say);
  return listProblem(say, problem);
}

/** The same list once more: nothing is wrong, and nothing was changed. */
const appliedBefore = (problem, say, send) =>
  h(
    'div',
    { class: 'calm', key: 'applied-before', tabindex: '-1', 'data-focus': 'problem' },
    h('p', { class: 'next' }, h('strong', null, say('bring.applied-before', { name: problem.name, time: problem.local_time, initials: problem.initials }))),
    h('p', null, say('bring.nothing-changed')),
    button(say('bring.look-at-it'), (event) => send({ type: 'list-wanted', listId: problem.list_id, at: event.timeStamp })),
  );

/** Every fault at once, each with its place: the office can put the file right in one go. */
function unreadable(problem, name, say) {
  const { title, next } = problemWords(say, problem);
  const columns = ['row', 'column', 'found', 'expected'].map((each) => say(`bring.${each}`));
  return h(
    'div',
    { class: 'lists', key: 'unreadable' },
    h('div', { class: 'problem', role: 'alert', tabindex: '-1', 'data-focus': 'problem' }, h('p', null, title), h('p', null, next)),
    h(
      'table',
      null,
      h('caption', null, name),
      h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
      h(
        'tbody',
        null,
        (problem.faults ?? []).map((fault) =>
          h(
            'tr',
            null,
            [fault.row, fault.column, fault.found, faultWords(fault, say) || fault.expected].map((cell, place) =>
              h('td', { 'data-column': columns[place] }, cell === null || cell === '' ? '–' : String(cell)),
            ),
          ),
        ),
      ),
    ),
  );
}
