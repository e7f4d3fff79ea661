/** The open line: who it is, the verdict in very large words, and the one next thing to do. */

import { cautionWords, kindWords, sentenceOf } from '../logic/coded.js';
import { isLead } from '../logic/day.js';
import {
  activeStep,
  addressOf,
  answersToAskAgain,
  hasReason,
  isToldApart,
  maySign,
  outcomeNow,
} from '../logic/sheet.js';
import { dateWords } from '../logic/wording.js';
import { ballot } from './ballot.js';
import { button, problemBox } from './controls.js';
import { h } from './paint.js';
import { signing } from './signing.js';
import { moveAmongAnswers, stepNow, stepsDone } from './steps.js';

const PRESSES = new Set(['Enter', ' ']);

/** A press by key on a button counts only if the guard says so: see logic/enter_guard.js. */
function guardKeys(page, send) {
  const isButton = (event) => event.target.closest('button') && PRESSES.has(event.key);
  return {
    keydown: (event) => {
      const { key, repeat, timeStamp: at } = event;
      if (key === 'Escape') return leave(event, send);
      if (event.altKey && event.code === 'KeyB') {
        event.preventDefault();
        return send({ type: 'cover-turned' });
      }
      moveAmongAnswers(event);
      send({ type: 'key-pressed', at, repeat });
      if (isButton(event) && page().sheet?.guard.isRefused) event.preventDefault();
    },
    keyup: (event) => {
      if (isButton(event) && event.key === ' ' && page().sheet?.guard.isRefused) {
        event.preventDefault();
      }
    },
  };
}

function leave(event, send) {
  event.preventDefault();
  send({ type: 'sheet-left' });
}

/** `page()` is the newest state: the guard must be asked after the key was noted. */
export function sheet(state, say, send, page) {
  const { sheet: open } = state;
  return h(
    'section',
    { class: 'sheet', key: `sheet-${open.lineId}`, 'aria-labelledby': 'sheet-name', on: guardKeys(page, send) },
    h(
      'div',
      { class: 'sheet-top' },
      button(say('sheet.back'), () => send({ type: 'sheet-left' }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
      h('p', { class: 'live', role: 'status' }, open.live && liveWords(open.live, say)),
    ),
    picked(open, say),
    h(
      'div',
      { class: 'sheet-body' },
      h('div', { class: 'judgment' }, judgment(state, say, send)),
      h('aside', { class: 'facts', 'aria-label': say('sheet.facts') }, facts(state, say, send)),
    ),
  );
}

const liveWords = (live, say) =>
  live.kind === 'signature.recorded'
    ? say('sheet.live-signed', live)
    : say('sheet.live', { ...live, what: kindWords(say, live) });

/** The line as it is printed, large: the worker reads it back to the voter. */
const picked = (open, say) => {
  const { line, name } = open;
  return h(
    'div',
    { class: 'picked' },
    h('h2', { id: 'sheet-name' }, name),
    brief(open, say),
    line && h('p', { class: 'number' }, line.voter_number),
    line && h('p', null, addressOf(line)),
    line?.party && h('p', null, line.party),
    line && line.part !== 'register' && h('p', null, h('strong', null, say(`part.${line.part}`))),
  );
};

/** Verdict and ballot once more, beside the name that stays: seen only in a small window. */
function brief(open, say) {
  if (!open.verdict) return null;
  const outcome = outcomeNow(open);
  const { ballot_button: button } = open.verdict;
  const isNumbered = maySign(open) && button !== null;
  return h(
    'p',
    { class: 'brief', 'aria-hidden': 'true' },
    h('span', { class: `outcome ${outcome}` }, say(`outcome.${outcome}`)),
    isNumbered && [h('span', null, say('sheet.ballot-button')), h('strong', null, String(button))],
  );
}

function judgment(state, say, send) {
  const { sheet: open } = state;
  const { verdict } = open;
  if (!verdict) {
    return [
      h('p', { class: 'verdict waiting', tabindex: '-1', 'data-focus': 'verdict' }, say('sheet.opening')),
      problemBox(say, open.problem),
    ];
  }
  return [
    h(
      'h3',
      { class: `verdict ${outcomeNow(open)}`, id: 'verdict', tabindex: '-1', 'data-focus': 'verdict' },
      h('span', null, say(`outcome.${outcomeNow(open)}`)),
    ),
    h('p', { class: 'next', id: 'next', tabindex: '-1', 'data-focus': 'question' }, nextThing(open, say)),
    problemBox(say, open.problem, {
      lead: open.problem?.isRefusal && say('sheet.not-recorded'),
      isKept: false,
    }),
    stepsDone(open, say),
    stepNow(state, say, send),
    maySign(open) && signing(state, say, send),
    refusal(state, say, send),
  ];
}

function nextThing(open, say) {
  if (maySign(open)) return say('sheet.next-sign');
  const step = activeStep(open);
  if (step) return sentenceOf(say, 'step', step);
  return sentenceOf(say, 'reason', open.verdict.reasons[0]);
}

/** A refusal never ends the conversation: further reasons, then what the person may still do. */
function refusal(state, say, send) {
  const { sheet: open } = state;
  const { reasons, options, caution } = open.verdict;
  if (!reasons.length) return null;
  return h(
    'div',
    { class: 'refusal' },
    reasons.length > 1 &&
      h('ul', { class: 'reasons' }, reasons.slice(1).map((each) => h('li', null, sentenceOf(say, 'reason', each)))),
    options.length > 0 && [
      h('h4', null, say('sheet.may-still')),
      h('ul', { class: 'options' }, options.map((each) => h('li', { class: each.code }, sentenceOf(say, 'option', each)))),
    ],
    hasReason(open, 'not-this-line') && lookAlikes(open, say, send),
    h('div', { class: 'buttons' }, refusalButtons(state, say, send)),
    h('p', { class: 'caution' }, cautionWords(say, caution)),
  );
}

const lookAlikes = (open, say, send) =>
  h(
    'div',
    { class: 'look-alikes' },
    h('h4', null, say('sheet.look-alikes')),
    open.lookAlikes.map((each) =>
      button(
        [
          h('span', { class: 'name' }, each.name),
          h('span', { class: 'number' }, each.voter_number),
          h('span', null, each.address),
        ],
        () => send({ type: 'look-alike-opened', lineId: each.line_id, name: each.name }),
        { look: 'line', key: each.line_id },
      ),
    ),
  );

function refusalButtons(state, say, send) {
  const { sheet: open } = state;
  const mayAffirm = open.verdict.options.some((option) => option.code === 'affirm-identity');
  const answer = (value) => (event) =>
    send({ type: 'answered', said: 'identification', value, at: event.timeStamp });
  return [
    mayAffirm &&
      button(say('steps.affirmed'), answer('affirmed'), { key: 'affirm', isBusy: open.isBusy }),
    answersToAskAgain(open).length > 0 &&
      button(
        say('sheet.ask-again'),
        (event) => send({ type: 'ask-again-pressed', at: event.timeStamp }),
        { key: 'again', isBusy: open.isBusy },
      ),
    isLead(state) &&
      open.standing.signature &&
      button(say('sheet.withdraw'), () => send({ type: 'dialog-opened', kind: 'withdraw' }), {
        key: 'withdraw',
      }),
  ];
}

function facts(state, say, send) {
  const { sheet: open } = state;
  if (!open.line) return null;
  return [
    maySign(open) && ballot(open.verdict.ballot_button, say),
    privateFacts(open, say, send),
    open.history.length > 0 && history(open, say),
  ];
}

/** Covered until asked for, so that the queue cannot read it; see `isToldApart`. */
function privateFacts(open, say, send) {
  const { line, isUncovered } = open;
  const isFree = isToldApart(open);
  const isShown = isUncovered && isFree;
  return h(
    'div',
    { class: 'private', key: 'private' },
    h(
      'dl',
      null,
      h('dt', null, say('sheet.birth-date')),
      h('dd', null, isShown ? dateWords(line.birth_date, say.language, 'long') : say('sheet.covered')),
      h('dt', null, say('sheet.maiden-name')),
      h('dd', null, isShown ? line.mothers_maiden_name || say('sheet.blank') : say('sheet.covered')),
    ),
    isFree
      ? button(say(isShown ? 'sheet.cover' : 'sheet.show'), () => send({ type: 'cover-turned' }), {
          'aria-keyshortcuts': 'Alt+B',
          'aria-pressed': String(isShown),
        })
      : h('p', { class: 'hint' }, say('sheet.covered-until')),
  );
}

const history = (open, say) =>
  h(
    'details',
    { key: 'history' },
    h('summary', null, say('sheet.history', { n: open.history.length })),
    h(
      'ol',
      null,
      open.history.map((entry) =>
        h(
          'li',
          null,
          say('sheet.history-entry', { ...entry, time: entry.local_time, what: kindWords(say, entry) }),
        ),
      ),
    ),
  );
