/** What was just recorded, until the next voter is typed: so that the right ballot is handed over. */

import { cautionWords, sentenceOf } from '../logic/coded.js';
import { ballot } from './ballot.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { placeBox } from './way_questions.js';
import { beforeAfter } from './written_down.js';

export function confirmation(state, say, send) {
  const { confirmation: done, day } = state;
  return h(
    'section',
    { class: `confirmation ${done.kind}`, key: `confirmation-${done.kind}-${done.seq}`, 'aria-label': say('signing.confirmation') },
    KINDS[done.kind](done, say, day),
    slips(done, say, send),
    done.lineId &&
      button(
        say('signing.open-again'),
        () => send({ type: 'look-alike-opened', lineId: done.lineId, name: done.name }),
        { look: 'quiet' },
      ),
    ['signed', 'affidavit'].includes(done.kind) && h('p', { class: 'hint' }, say('signing.mistake')),
  );
}

const verdictLike = (look, words) => h('p', { class: `verdict ${look}` }, h('span', null, words));
const named = (done) => done.name && h('p', { class: 'done-name' }, done.name);
const next = (words) => h('p', { class: 'next' }, words);

// A paper that this laptop can print, in the voter's language and not the worker's.
const PRINTED = ['direction-slip', 'provisional-slip'];
const LANGUAGES = ['en', 'es'];

function slips(done, say, send) {
  const slip = done.papers?.find((each) => PRINTED.includes(each));
  if (!slip) return null;
  return h(
    'div',
    { class: 'buttons slips', role: 'group', 'aria-label': say(`paper.${slip}`) },
    LANGUAGES.map((language) =>
      button(
        say(`paper.print-${language}`, { paper: say(`paper.${slip}`) }),
        () => send({ type: 'slip-asked', seq: done.seq, language }),
        { key: language },
      ),
    ),
  );
}

const KINDS = { signed, withdrawn, moved, left: gone, returned: gone, affidavit, provisional, directed };

function signed(done, say) {
  const facts = { time: done.localTime, initials: done.initials };
  return [
    verdictLike('recorded', say('signing.signed')),
    named(done),
    ballot(done.ballotButton, say),
    next(say(`signing.how-${done.how}`, facts)),
    next(say('signing.next-voter')),
  ];
}

function withdrawn(done, say, day) {
  const facts = { time: done.localTime, initials: done.initials };
  return [
    verdictLike('taken-back', say('signing.taken-back')),
    named(done),
    next(say('signing.withdrawn-at', facts)),
    next(h('strong', null, say('signing.ballot-is-out', day.registrar))),
    h('p', { class: 'caution' }, cautionWords(say, day.policy?.caution)),
  ];
}

const signature = (act, say) =>
  act
    ? say('written.signed', { time: act.local_time, station: act.station, initials: act.initials })
    : say('written.not-signed');
const lineOf = (one, say) => say('written.line', { name: one.name, what: signature(one.signature, say) });

function moved(done, say, day) {
  const { before, after } = done;
  return [
    verdictLike('recorded', say('signing.is-moved')),
    beforeAfter(
      [lineOf(before.from, say), lineOf(before.to, say)],
      [lineOf(after.from, say), lineOf(after.to, say)],
      say,
      true,
    ),
    flagged(done, say),
    h('p', { class: 'caution' }, cautionWords(say, day.policy?.caution)),
  ];
}

/** What the lead should know of it. */
const flagged = ({ flags = [] }, say) =>
  flags.length > 0 &&
  h('ul', { class: 'flags' }, flags.map((flag) => h('li', null, sentenceOf(say, 'flag', flag))));

/** Signed and left without voting, or came back. */
function gone(done, say, day) {
  return [
    verdictLike('recorded', say(`signing.is-${done.kind}`)),
    named(done),
    next(say(`signing.${done.kind}-next`, day.registrar)),
  ];
}

function affidavit(done, say) {
  return [
    verdictLike('recorded', say('signing.signed')),
    named(done),
    ballot(done.ballotButton, say),
    next(say('done.affidavit', { time: done.localTime, initials: done.initials })),
    flagged(done, say),
    done.lookAlikes > 0 && next(say('done.look-alikes', { n: done.lookAlikes })),
    next(say('signing.next-voter')),
  ];
}

// More characters than these do not fit beside their label in large type.
const LARGE = 7;

/** Which ballot, and which envelope it goes into: the two things that must not be mixed up. */
function provisional(done, say) {
  return [
    verdictLike('recorded', say('done.provisional')),
    named(done),
    h(
      'div',
      { class: 'pair' },
      ballot(done.ballotButton, say),
      h('p', { class: 'ballot' }, h('span', null, say('form.envelope')), ' ', h('strong', { class: done.envelope.length > LARGE ? 'long' : null }, done.envelope)),
    ),
    next(h('strong', null, say(`done.keep-${done.ballotClass}`))),
    next(say('done.give-slip')),
  ];
}

function directed(done, say) {
  return [
    verdictLike('recorded', say('done.written')),
    named(done),
    done.place && placeBox(done.place, say),
    next(say(`done.directed-${done.way}`)),
  ];
}
