/** What can still be done on an open line: for the voter, for the worker, and by the lead. */

import { sentenceOf } from '../logic/coded.js';
import { isLead } from '../logic/day.js';
import { answersToAskAgain, hasReason } from '../logic/sheet.js';
import { answers } from './answers.js';
import { button } from './controls.js';
import { h } from './paint.js';

/** After a stop or a call: what the person may still do, each with a number. */
export function options(state, say, send) {
  const { sheet: open } = state;
  const again = answersToAskAgain(open).length > 0 && {
    key: 'again',
    words: say('sheet.ask-again'),
    press: (event) => send({ type: 'ask-again-pressed', at: event.timeStamp }),
  };
  // The lead need not be told to ask the lead: what they can do stands below.
  const isOwn = ({ code }) => code === 'ask-lead' && isLead(state) && open.standing?.signature;
  const list = open.verdict.options.filter((option) => !isOwn(option)).map((option) => ({
    code: option.code,
    words: sentenceOf(say, 'option', option),
    press: (event) => send({ ...eventOf(option.code), at: event.timeStamp }),
  }));
  if (!again && !list.length) return null;
  return [
    h('h4', null, say('sheet.may-still')),
    answers([again, ...list], {
      isBusy: open.isBusy || Boolean(state.pending),
      isNumbered: false,
    }),
  ];
}

const EVENTS = {
  'affirm-identity': { type: 'answered', said: 'identification', value: 'affirmed' },
  'look-at-look-alikes': { type: 'look-alikes-wanted' },
};

const eventOf = (code) => EVENTS[code] ?? { type: 'line-way-opened', code };

/** The lead's corrections of a signature; a worker is told who can make them. */
export function corrections(state, say, send) {
  const { sheet: open } = state;
  if (!open.standing?.signature) return null;
  if (!isLead(state)) return h('p', { class: 'hint' }, say('sheet.lead-corrects'));
  const kinds = ['move', 'withdraw', open.standing.left ? 'returned' : 'left'];
  return h(
    'div',
    { class: 'corrections', key: 'corrections' },
    h('h4', null, say('sheet.corrections')),
    h(
      'div',
      { class: 'buttons upright' },
      kinds.map((kind) =>
        button(say(`correct.${kind}`), () => send({ type: 'dialog-opened', kind }), { key: kind }),
      ),
    ),
  );
}

/** Behind one press, so that nobody skips a step by it: the voter cannot do what comes first. */
export const cannot = ({ sheet: open, pending }, say, send) =>
  open.verdict?.if_not_done?.length > 0 &&
  !open.helper &&
  button(
    say('sheet.cannot'),
    (event) => send({ type: 'line-way-opened', because: 'step-not-done', at: event.timeStamp }),
    { key: 'cannot', look: 'quiet cannot', isBusy: open.isBusy || Boolean(pending) },
  );

const SAYS = {
  helper: (at) => ({ type: 'helper-wanted', at }),
  change: () => ({ type: 'dialog-opened', kind: 'form-given' }),
  moved: (at) => ({ type: 'move-told', at }),
  challenged: (at) => ({ type: 'line-way-opened', code: 'provisional-ballot', because: 'challenged', at }),
};

/** Which of these fit now. Whoever has a ballot already may still need help in the booth. */
function sayable({ verdict, helper, standing, isMoveAsked }) {
  const isHelpOpen = helper || verdict?.steps.some((step) => step.code === 'assistance');
  const help = isHelpOpen ? [] : ['helper'];
  if (['sign', 'first'].includes(verdict?.outcome)) {
    return [...help, 'change', ...(isMoveAsked ? [] : ['moved']), 'challenged'];
  }
  return standing?.signature || standing?.provisional ? help : [];
}

/** What the voter may say of their own accord. */
export function voterSays(state, say, send) {
  const codes = sayable(state.sheet);
  if (!codes.length) return null;
  return h(
    'div',
    { class: 'voter-says', key: 'voter-says' },
    h('h4', null, say('sheet.voter-says')),
    h(
      'div',
      { class: 'buttons upright' },
      codes.map((code) =>
        button(say(`says.${code}`), (event) => send(SAYS[code](event.timeStamp)), { key: code }),
      ),
    ),
  );
}

export const lookAlikes = (open, say, send) =>
  hasReason(open, 'not-this-line') &&
  h(
    'div',
    { class: 'look-alikes' },
    h('h4', null, say('sheet.look-alikes')),
    open.lookAlikes.map((each, place) =>
      button(
        [
          h('span', { class: 'name' }, each.name),
          h('span', { class: 'number' }, each.voter_number),
          h('span', null, each.address_protected ? say('note.protected') : each.address),
        ],
        () => send({ type: 'look-alike-opened', lineId: each.line_id, name: each.name }),
        { look: 'line', key: each.line_id, focus: place === 0 ? 'look-alikes' : null },
      ),
    ),
  );

/** What the lead should know of what was just recorded. */
export const flags = (open, say) =>
  open.flags.length > 0 &&
  h(
    'ul',
    { class: 'flags', key: 'flags' },
    open.flags.map((flag) => h('li', null, sentenceOf(say, 'flag', flag))),
  );
