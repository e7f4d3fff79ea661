/** Hours on paper: the one section that all their screens stand in. */

import { cautionWords } from '../logic/coded.js';
import { isLead } from '../logic/day.js';
import { openHour } from '../logic/paper_state.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { guardKeys } from './guard.js';
import { h } from './paint.js';
import { beginForm, finishForm, undoForm } from './paper_forms.js';
import { hoursAsk, hoursProblem, spanWords } from './paper_hours_parts.js';
import { keyingRow } from './paper_row.js';
import { toldRow } from './paper_told.js';

const SCREENS = { asking, begin: beginForm, none, begun, keying, finished };
const FORMS = { undo: undoForm, finish: finishForm };

export function paperHours(state, say, send, page) {
  const { paperHours: open } = state;
  const guards = guardKeys(page, (newest) => newest.paperHours?.guard, send, (event) =>
    send({ type: 'hours-back', at: event.timeStamp }),
  );
  return h(
    'section',
    { class: `paper-hours ${open.screen}`, key: `paper-hours-${open.openedAt}`, 'aria-labelledby': 'hours-title', on: guards },
    h(
      'div',
      { class: 'way-top', key: 'top' },
      button(say('on-paper.back'), (event) => send({ type: 'hours-back', at: event.timeStamp }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
      h('h2', { id: 'hours-title' }, titleWords(state, say)),
    ),
    h('div', { class: 'way-body', key: `body-${open.screen}` }, SCREENS[open.screen](state, say, send), hoursProblem(open.problem, say)),
    h('p', { class: 'caution', key: 'caution' }, cautionWords(say, state.day.policy?.caution)),
  );
}

function titleWords(state, say) {
  const hour = openHour(state) ?? state.paperHours.done;
  return hour ? say('on-paper.title-of', { span: spanWords(hour, say) }) : say('on-paper.title');
}

function asking(state, say) {
  return hoursAsk(say('way.asking'), 'asking');
}

/** A worker finds no hour that is open. */
function none(state, say) {
  return [hoursAsk(say('on-paper.none'), 'none'), h('p', { class: 'next', key: 'next' }, say('on-paper.none-next'))];
}

/** The table works on paper from now on; the page may be gone at any moment. */
function begun(state, say, send) {
  const { from } = openHour(state);
  return [
    hoursAsk(say('on-paper.begun', { time: from }), 'begun'),
    h('ul', { class: 'reasons', key: 'how' }, ['sign', 'time', 'steps', 'nobody'].map((each) => h('li', null, say(`on-paper.how-${each}`)))),
    answers([{ key: 'again', words: say('on-paper.catch-up'), isMain: true, press: (event) => send({ type: 'hours-again', at: event.timeStamp }) }]),
  ];
}

/** One thing at a time: what must be read, then what is asked, then the next row. */
function keying(state, say, send) {
  const { told, form } = state.paperHours;
  if (told) return toldRow(state, say, send);
  if (form) return FORMS[form.kind](state, say, send);
  return keyingRow(state, say, send);
}

function finished(state, say, send) {
  const { finished: end } = state.paperHours.done;
  const { lines, duplicates, waiting, reason } = end;
  return [
    hoursAsk(say('on-paper.finished', { n: lines }), 'finished'),
    duplicates > 0 && h('p', { class: 'next', key: 'duplicates' }, say('on-paper.finished-duplicates', { n: duplicates })),
    waiting > 0 && h('p', { class: 'next', key: 'waiting' }, say('on-paper.finished-waiting', { n: waiting })),
    reason && h('p', { class: 'next', key: 'reason' }, say('keying.finished-because', { reason })),
    h('p', { class: 'next', key: 'keep' }, say('on-paper.keep-pages')),
    isLead(state) && h('p', { class: 'hint', key: 'next' }, say('on-paper.finished-lead')),
  ];
}
