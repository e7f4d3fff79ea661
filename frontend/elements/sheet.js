/** The open line: who it is, the verdict in very large words, and the one next thing to do. */

import { cautionWords, kindWords, sentenceOf, stepWords } from '../logic/coded.js';
import { isStandby } from '../logic/day.js';
import { placeOfProblem } from '../logic/pending.js';
import { activeStep, addressOf, isToldApart, maySign, outcomeNow } from '../logic/sheet.js';
import { dateWords } from '../logic/wording.js';
import { ballot } from './ballot.js';
import { button, problemBox } from './controls.js';
import { guardKeys } from './guard.js';
import { cannot, corrections, flags, lookAlikes, options, voterSays } from './line_actions.js';
import { h } from './paint.js';
import { signing } from './signing.js';
import { stepNow, stepsDone } from './steps.js';
import { unrecorded } from './unrecorded.js';

/** `inSheet`: what is filled in there, by its place in the sheet (see page.js). */
export function sheet(state, say, send, page, inSheet) {
  const { sheet: open } = state;
  const guards = guardKeys(page, (newest) => newest.sheet?.guard, send, () => send({ type: 'sheet-left' }));
  return h(
    'section',
    { class: 'sheet', key: `sheet-${open.lineId}`, 'aria-labelledby': 'sheet-name', on: guards },
    h(
      'div',
      { class: 'sheet-top' },
      button(say('sheet.back'), () => send({ type: 'sheet-left' }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
      h('p', { class: 'live', role: 'status' }, open.live && liveWords(open.live, say)),
    ),
    picked(state, say),
    h(
      'div',
      { class: 'sheet-body' },
      h('div', { class: 'judgment' }, judgment(state, say, send, inSheet)),
      h('aside', { class: 'facts', 'aria-label': say('sheet.facts') }, facts(state, say, send)),
    ),
  );
}

/** Told beside the witness's name. */
const isOfWitness = ({ witness, problem }) => Boolean(witness && problem) && placeOfProblem(problem) !== 'problem';

const liveWords = (live, say) =>
  live.kind === 'signature.recorded'
    ? say('sheet.live-signed', live)
    : say('sheet.live', { ...live, what: kindWords(say, live) });

/** A ballot is handed over where the signature is recorded. */
const maySignHere = (state) => maySign(state.sheet) && !isStandby(state);

/** The line as it is printed, large: the worker reads it back to the voter. */
const picked = (state, say) => {
  const { sheet: open } = state;
  const { line, name } = open;
  return h(
    'div',
    { class: 'picked' },
    h('h2', { id: 'sheet-name' }, name),
    brief(state, say),
    line && h('p', { class: 'number' }, line.voter_number),
    line && h('p', null, line.address_protected ? say('note.protected') : addressOf(line)),
    line?.party && h('p', null, line.party),
    line && noteKeys(open).map((key) => h('p', { key }, h('strong', null, say(key)))),
  );
};

/** What is printed on the line besides, or stands on it since, as keys of words. */
const noteKeys = ({ line, standing }) =>
  [
    line.part !== 'register' && `part.${line.part}`,
    line.inactive && 'note.inactive',
    line.first_time_by_mail && 'note.first-time-by-mail',
    standing?.left && 'note.left',
  ].filter(Boolean);

/** Verdict and ballot once more, beside the name that stays: seen only in a small window. */
function brief(state, say) {
  const { sheet: open } = state;
  if (!open.verdict) return null;
  const outcome = outcomeNow(open);
  const { ballot_button: button } = open.verdict;
  const isNumbered = maySignHere(state) && button !== null;
  return h(
    'p',
    { class: 'brief', 'aria-hidden': 'true' },
    h('span', { class: `outcome ${outcome}` }, say(`outcome.${outcome}`)),
    isNumbered && [h('span', null, say('sheet.ballot-button')), h('strong', null, String(button))],
  );
}

function judgment(state, say, send, inSheet) {
  const { sheet: open } = state;
  const { verdict } = open;
  if (!verdict || open.isHalted) {
    return [
      h('p', { class: 'verdict waiting', tabindex: '-1', 'data-focus': 'verdict' }, say(open.isHalted ? 'sheet.halted' : 'sheet.opening')),
      problemBox(say, open.problem),
    ];
  }
  const found = [
    h(
      'h3',
      { class: `verdict ${outcomeNow(open)}`, id: 'verdict', tabindex: '-1', 'data-focus': 'verdict' },
      h('span', null, say(`outcome.${outcomeNow(open)}`)),
    ),
    haltedBy(open, say),
  ];
  return isStandby(state) ? elsewhere(state, say, inSheet, found) : [...found, ...nextHere(state, say, send, inSheet)];
}

/** Nothing that records stands on such a page; that is told before the verdict. */
const elsewhere = (state, say, { standby }, found) =>
  standby ? standby(state, say, found) : [h('p', { class: 'next', id: 'next' }, say('strip.read-only-standby')), ...found];

/** The one next thing, and what it is done with. */
function nextHere(state, say, send, inSheet) {
  const { sheet: open } = state;
  return [
    h('p', { class: 'next', id: 'next', tabindex: '-1', 'data-focus': 'question' }, nextThing(open, say)),
    !isOfWitness(open) &&
      problemBox(say, open.problem, { lead: open.problem?.isRefusal && say('sheet.not-recorded'), isKept: false }),
    flags(open, say),
    stepsDone(open, say),
    open.helper ? inSheet.helper(state, say, send) : stepNow(state, say, send),
    cannot(state, say, send),
    maySign(open) && (open.witness ? inSheet.witness : signing)(state, say, send, inSheet),
    unrecorded(open, say),
    refusal(state, say, send),
  ];
}

/** The line was marked while the voter stood here: said large, before the reason. */
const haltedBy = ({ live, verdict }, say) =>
  live?.isHalt && verdict.reasons.length > 0 && h('p', { class: 'flags halted-by', key: 'halted-by' }, say('sheet.halted-by', live));

function nextThing(open, say) {
  if (open.helper && !open.verdict.reasons.length) return say('sheet.next-helper');
  if (maySign(open) && open.witness) return say('sheet.next-witness');
  if (maySign(open)) return say(open.line?.address_protected ? 'sheet.next-sign-protected' : 'sheet.next-sign');
  const step = activeStep(open);
  if (step) return stepWords(say, step);
  return sentenceOf(say, 'reason', open.verdict.reasons[0]);
}

/** A refusal never ends the conversation: further reasons, then what the person may still do. */
function refusal(state, say, send) {
  const { sheet: open } = state;
  const { reasons, caution } = open.verdict;
  // While somebody's helper is written down, that is the one next thing to do.
  if (!reasons.length || open.helper) return null;
  return h(
    'div',
    { class: 'refusal' },
    reasons.length > 1 &&
      h('ul', { class: 'reasons' }, reasons.slice(1).map((each) => h('li', null, sentenceOf(say, 'reason', each)))),
    lookAlikes(open, say, send),
    options(state, say, send),
    corrections(state, say, send),
    h('p', { class: 'caution' }, cautionWords(say, caution)),
  );
}

function facts(state, say, send) {
  const { sheet: open } = state;
  if (!open.line) return null;
  return [
    maySignHere(state) && ballot(open.verdict.ballot_button, say),
    !isStandby(state) && voterSays(state, say, send),
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
