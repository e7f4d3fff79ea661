/** What was recorded at the end of a way: a line made by an affidavit, a provisional ballot, a place. */

import { ballot } from './ballot.js';
import { flagged, named, next, verdictLike } from './confirmation.js';
import { button } from './controls.js';
import { h } from './paint.js';
import { placeBox } from './way_questions.js';

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

export function affidavit(done, say, _, send) {
  return [
    verdictLike('recorded', say('signing.signed')),
    named(done),
    ballot(done.ballotButton, say),
    next(say('done.affidavit', { time: done.localTime, initials: done.initials })),
    flagged(done, say),
    done.lookAlikes > 0 && next(say('done.look-alikes', { n: done.lookAlikes })),
    next(say('signing.next-voter')),
    slips(done, say, send),
  ];
}

// More characters than these do not fit beside their label in large type.
const LARGE = 7;

/** Which ballot, and which envelope it goes into: the two things that must not be mixed up. */
export function provisional(done, say, _, send) {
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
    slips(done, say, send),
  ];
}

export function directed(done, say, _, send) {
  return [
    verdictLike('recorded', say('done.written')),
    named(done),
    done.place && placeBox(done.place, say),
    next(say(`done.directed-${done.way}`)),
    slips(done, say, send),
  ];
}
