/** What is read and written down: its form, and what is doubted about it in large words. */

import { fieldsOf } from '../logic/work_form.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { doubtWords } from './doubt_words.js';
import { choiceField, filledIn, textField, tickField } from './fields.js';
import { h } from './paint.js';
import { thingWords, workAsk } from './work_parts.js';

/** What the form is about: a machine at a moment, a seal, a count. */
function titleOf(form, say) {
  if (form.kind === 'seal') return say('work.seal');
  if (form.kind === 'count') return say(`count.${form.what}`);
  return say(`moment.${form.moment}`, { serial: form.serial });
}

export const workForm = (state, say, send) => [
  workAsk(titleOf(state.dayWork.form, say)),
  state.dayWork.form.moment === 'opening' && h('p', { class: 'hint', key: 'ticks' }, say('work.ticks')),
  h(
    'form',
    {
      class: `paper ${state.dayWork.form.kind}`,
      key: 'form',
      novalidate: true,
      on: filledIn((event) => state.pending || send({ type: 'work-submitted', at: event.timeStamp })),
    },
    fieldsOf(state.dayWork.form, state.day).map((each) => field(each, state, say, send)),
    button(say(state.pending ? 'signing.busy' : 'work.write'), () => {}, { type: 'submit', look: 'primary', isBusy: Boolean(state.pending) }),
  ),
];

function field({ name, kind, choices, button: ballot }, { dayWork }, say, send) {
  const { form } = dayWork;
  const change = (value) => send({ type: 'work-typed', field: name, value });
  const label = ballot ? say('work-field.button', { button: ballot }) : say(`work-field.${name === 'number' && form.kind === 'seal' ? 'seal' : name}`);
  const own = { id: `work-${name}`, value: form.values[name] ?? '', problem: form.problems[name] && say(kind === 'number' ? 'work.as-number' : 'work.as-text') };
  if (kind === 'tick') return tickField(label, { ...own, value: form.values[name] === true }, change);
  if (kind === 'choice') {
    const words = { of: (code) => say(`seal-of.${code}`), act: (code) => say(`seal-act.${code}`), agrees: (code) => say(`agrees.${code}`) }[name];
    return choiceField(label, { ...own, choices: choices.map((value) => ({ value, words: words(value) })) }, change);
  }
  const more = kind === 'number' ? { inputmode: 'numeric', most: 12 } : { most: 40 };
  const hint = name === 'where' && say('work-field.where-hint');
  return textField(label, { ...own, ...more, ...(hint && { hint }) }, { input: (event) => change(event.target.value) });
}

/** Not recorded yet: read it again first; whoever sees the same says so, and why. */
export function doubtScreen(state, say, send) {
  const { form } = state.dayWork;
  if (form.stage === 'doubt') return doubt(form, say, send);
  if (form.stage === 'standing') return standing(form, say, send);
  return why(form, state, say, send);
}

const about = (form, say) =>
  h('p', { class: 'hint', key: 'about' }, form.kind === 'seal' ? `${thingWords(form.values, say)} · ${form.values.number}` : titleOf(form, say));

const doubt = (form, say, send) => [
  about(form, say),
  form.doubts.map((each, place) => (place ? h('p', { class: 'ask', key: each.code }, doubtWords(each, say)) : workAsk(doubtWords(each, say), each.code))),
  h('p', { class: 'next', key: 'next' }, say('work.not-written')),
  answers([
    { key: 'again', words: say('work.read-again'), isMain: true, press: (event) => send({ type: 'work-read-again', at: event.timeStamp }) },
    { key: 'insist', words: say('work.insist'), press: (event) => send({ type: 'work-insisted', at: event.timeStamp }) },
  ]),
];

const standing = (form, say, send) => [
  about(form, say),
  workAsk(say('work.standing', { count: String(form.standing.count) }), 'standing'),
  answers([
    { key: 'keep', words: say('work.keep'), isMain: true, press: (event) => send({ type: 'work-read-again', at: event.timeStamp }) },
    { key: 'replace', words: say('work.replace'), press: (event) => send({ type: 'work-replaces', at: event.timeStamp }) },
  ]),
];

const why = (form, state, say, send) => [
  about(form, say),
  workAsk(say(form.stage === 'insist' ? 'work.why-insist' : 'work.why-replace'), 'why'),
  form.stage === 'insist' && h('ul', { class: 'reasons', key: 'doubts' }, form.doubts.map((each) => h('li', { key: each.code }, doubtWords(each, say)))),
  h(
    'form',
    { class: 'why', key: 'why-form', novalidate: true, on: filledIn(() => state.pending || send({ type: 'work-reason-submitted' })) },
    textField(
      say('dialog.reason'),
      { id: 'work-reason', value: form.reason, most: 400, hint: say('work.why-hint'), problem: form.problems.reason && say('problem.reason-missing') },
      { input: (event) => send({ type: 'work-reason-typed', text: event.target.value }) },
    ),
    button(say(state.pending ? 'signing.busy' : 'work.write'), () => {}, { type: 'submit', look: 'primary', isBusy: Boolean(state.pending) }),
  ),
];
