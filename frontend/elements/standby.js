/** A laptop that only follows: an open line, how it stands for the lead, taking over, and afterwards. */

import { cautionWords, sentenceOf, stepWords } from '../logic/coded.js';
import { isStandby } from '../logic/day.js';
import { activeStep, maySign } from '../logic/sheet.js';
import { holdsMore, isAnswering, isApart, mayBeDead, placeOnLine } from '../logic/standby.js';
import { button } from './controls.js';
import { asked, dialogField, problemBeside } from './dialog_parts.js';
import { textField } from './fields.js';
import { toStop } from './header.js';
import { h } from './paint.js';

/* The strip */

/** What is shown may be old: whoever reads it must know since when, and what to do about it. */
export function standbyStrip(state, say) {
  const { connection, pending, notice, tookOver: taken } = state;
  // It stops following and begins to record: that takes a moment.
  if (taken?.isStarting) return ['loud', say('strip.starting')];
  if (!isStandby(state) || !connection.isReachable || pending?.isWaiting) return null;
  const { state: how, since } = state.day.standby;
  const follows = say('strip.read-only-standby');
  const told = [
    state.olderRecord && say('strip.record-is-older', state.olderRecord),
    state.olderRecord && toStop(state, say),
    notice && say(notice.key, notice.facts),
  ];
  if (how === 'in-step') return [state.olderRecord ? 'alarm' : 'elsewhere', follows, say('standby.in-step'), ...told];
  if (holdsMore(state)) return ['alarm stale', say('standby.holds-more'), doNow(state, say), ...told];
  return ['alarm stale', follows, say('standby.apart', { time: since }), doNow(state, say), ...told];
}

/** Whether it is dead is asked only where the other laptop does not answer. */
function doNow(state, say) {
  const role = state.day.worker?.role;
  const isGone = mayBeDead(state);
  if (holdsMore(state)) return say(role === 'lead' ? 'standby.more-lead' : 'standby.apart-worker');
  if (role === 'lead') return say(isGone ? 'standby.apart-lead' : 'standby.apart-why');
  if (role) return say(isGone ? 'standby.apart-gone' : 'standby.apart-worker');
  return isGone && say('standby.apart-nobody');
}

/* An open line */

/** Where to go comes first, then `found`, the verdict; nothing on it can be pressed. */
export const standbyLine = (state, say, found) => [
  h(
    'p',
    { class: 'not-here', id: 'next', key: 'not-here', tabindex: '-1', 'data-focus': placeOnLine(state.sheet) },
    say(`standby.${holdsMore(state) ? 'not-here-more' : placeKey(state.sheet)}`),
  ),
  isApart(state) && !holdsMore(state) && mayBeOld(state, say),
  h('p', { class: 'hint', key: 'shown' }, say('standby.shown-here')),
  ...found,
  because(state.sheet, say),
  h('p', { class: 'caution', key: 'caution' }, cautionWords(say, state.sheet.verdict.caution)),
];

const mayBeOld = (state, say) =>
  h(
    'div',
    { class: 'problem', key: 'may-be-old' },
    h('p', null, say('standby.may-be-old', { time: state.day.standby.since })),
    mayBeDead(state) && h('p', null, say('standby.if-dead')),
  );

const isRefused = ({ verdict }) => verdict.reasons.length > 0;

function placeKey(open) {
  if (isRefused(open)) return 'not-here-refused';
  return maySign(open) ? 'not-here-sign' : 'not-here-first';
}

function because(open, say) {
  const step = activeStep(open);
  const words = isRefused(open)
    ? open.verdict.reasons.map((each) => sentenceOf(say, 'reason', each))
    : step && open.verdict.steps.map((each) => stepWords(say, each));
  return words && h('ul', { class: 'reasons', key: 'because' }, words.map((each) => h('li', null, each)));
}

/* The lead's view */

/** Whom it follows, how far it is, and the way to take over. */
export function standing(state, say, send) {
  if (!isStandby(state)) return null;
  const { follows, head, why } = state.day.standby;
  return h(
    'section',
    { class: 'standing', key: 'standing', 'aria-labelledby': 'standing-title' },
    h('h3', { id: 'standing-title' }, say('standby.title')),
    h('p', null, holds(state, say)),
    isApart(state) &&
      h('p', null, say(say.has(`standby.why-${why}`) ? `standby.why-${why}` : 'standby.why-other', state.day.registrar)),
    h('p', { class: 'hint' }, say('standby.where', { follows })),
    h('p', { class: 'hint' }, say('standby.head'), ' ', h('code', null, head)),
    h(
      'div',
      { class: 'buttons' },
      button(say('standby.take-over'), () => send({ type: 'take-over-wanted' }), {
        key: 'take-over',
        focus: 'take-over',
        look: mayBeDead(state) ? 'primary' : 'plain',
        'aria-describedby': 'take-over-when',
      }),
    ),
    h('p', { class: 'hint', id: 'take-over-when' }, say(holdsMore(state) ? 'standby.more-when' : 'standby.take-over-when')),
  );
}

const holds = ({ day: { standby: { state: how, since, seq } } }, say) =>
  say(how === 'in-step' ? 'standby.holds-in-step' : 'standby.holds-apart', { time: since, seq: String(seq) });

/* Taking over */

// In the order in which they must be made sure of.
const FIRST = ['dead', 'off', 'nobody'];
// It runs, and must not go on all the same: the office decides.
const FIRST_WITH_MORE = ['office', 'off', 'nobody'];

export const takeOver = (state, say, send) =>
  asked(state, say, send, {
    heading: say('take-over.title'),
    yes: say('take-over.yes'),
    busy: say('take-over.busy'),
    content: [
      isAnswering(state) && h('p', { class: 'problem', key: 'answers' }, say(holdsMore(state) ? 'take-over.answers-more' : 'take-over.answers')),
      h('p', { key: 'first' }, h('strong', null, say('take-over.first'))),
      sure(state, say),
      isApart(state) && lacks(state, say),
      dialogField(state, say, send, { name: 'text', label: say('take-over.reason'), hint: say('take-over.reason-hint') }),
      ownPin(state, say, send),
      state.dialog.problem?.code === 'pin-locked' && h('p', { key: 'locked' }, say('take-over.without-pin')),
    ],
  });

const sure = (state, say) =>
  h(
    'ol',
    { class: 'sure', key: 'sure' },
    (holdsMore(state) ? FIRST_WITH_MORE : FIRST).map((each) => h('li', null, say(`take-over.${each}`, state.day.registrar))),
  );

function lacks({ day: { standby, registrar } }, say) {
  const facts = { time: standby.since, ...registrar };
  return h('p', { key: 'lacks' }, say('take-over.may-lack', facts), ' ', say('take-over.stick', facts));
}

const ownPin = (state, say, send) =>
  textField(
    say('take-over.own-pin'),
    {
      id: 'dialog-pin',
      type: 'password',
      inputmode: 'numeric',
      value: state.dialog.pin,
      most: 12,
      problem: problemBeside(state, 'pin', say),
    },
    { input: (event) => send({ type: 'dialog-typed', field: 'pin', text: event.target.value }) },
  );

/* Over the sign-on */

/** The lead who unlocks others may be locked out themselves, and the laptop that could help be dead. */
export const lockedOut = (state, say) =>
  isStandby(state) &&
  state.signOn.problem?.code === 'pin-locked' &&
  h('p', { class: 'problem', key: 'without-pin' }, say('take-over.locked-out'), ' ', say('take-over.without-pin'));

const TOLD = { true: 'told', false: 'not-told', null: 'told-unknown' };

export function tookOver({ tookOver: told }, say) {
  if (!told) return null;
  const { isStarting, isTold, seq, head } = told;
  return h(
    'section',
    { class: 'took-over', key: 'took-over', 'aria-labelledby': 'took-over-title' },
    h(
      'h2',
      { id: 'took-over-title', tabindex: '-1', 'data-focus': 'took-over' },
      say(isStarting ? 'took-over.starting' : 'took-over.title'),
    ),
    h('p', { class: isTold === false ? 'problem' : null, key: 'told' }, say(`took-over.${TOLD[isTold]}`)),
    isTold === false && h('p', { key: 'goes-on' }, say('took-over.goes-on')),
    h('p', { key: 'everybody' }, say('took-over.everybody')),
    head && h('p', { class: 'hint', key: 'head' }, say('took-over.head', { seq: String(seq) }), ' ', h('code', null, head)),
  );
}
