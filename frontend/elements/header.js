/** The head of the page: which place and election, who is at which station, and the running strip. */

import { copyFails, copyHoldsMore, isLead } from '../logic/day.js';
import { mayKey, mayLook, waiting } from '../logic/late_state.js';
import { dateWords } from '../logic/wording.js';
import { button } from './controls.js';
import { h } from './paint.js';

const LANGUAGES = ['en', 'es'];

/** Each language is named in itself, so that whoever needs it can read it. */
export const languageSwitch = (state, say, send) =>
  h(
    'div',
    { class: 'languages', role: 'group', 'aria-label': say('head.language') },
    LANGUAGES.map((language) =>
      button(say(`language.${language}`), () => send({ type: 'language-asked', language }), {
        look: 'quiet',
        key: language,
        lang: language,
        'aria-pressed': String(state.language === language),
      }),
    ),
  );

/** With the place and the whole date; `isShort` where every row counts. */
export const placeTitle = ({ day }, say, { isShort = false } = {}) =>
  h(
    'div',
    { class: 'place' },
    h('h1', null, say('head.precinct', { ...day.precinct })),
    h(
      'p',
      null,
      [
        day.election.name,
        dateWords(day.election.date, say.language, isShort ? 'medium' : 'full'),
        !isShort && day.polling_place.name,
      ]
        .filter(Boolean)
        .join(' · '),
    ),
  );

export function header(state, say, send) {
  const { worker, station } = state.day;
  return h(
    'header',
    { class: 'head', key: 'head' },
    placeTitle(state, say, { isShort: true }),
    h(
      'div',
      { class: 'who' },
      h('p', null, h('strong', null, worker.initials), ` ${say(`role.${worker.role}`)}`),
      h('p', null, station),
    ),
    h(
      'nav',
      { class: 'tools', 'aria-label': say('head.tools') },
      languageSwitch(state, say, send),
      isLead(state) &&
        button([say('head.now'), needs(state, say)], () => send({ type: 'now-opened' }), { key: 'now', 'aria-keyshortcuts': 'Alt+N' }),
      (mayKey(state) || isLead(state)) &&
        button(say('head.day'), () => send({ type: 'dialog-opened', kind: 'day' }), { key: 'day' }),
      (mayLook(state) || mayKey(state)) &&
        button([say('head.lists'), badge(state, say)], (event) => send({ type: 'late-opened', at: event.timeStamp }), { key: 'lists' }),
      mayKey(state) &&
        button(say('head.write-up'), () => send(writeUpEvent(state)), { key: 'write-up', 'aria-keyshortcuts': 'Alt+I' }),
      button(say('head.sign-off'), () => send({ type: 'sign-off-asked' }), { key: 'off' }),
    ),
  );
}

/** How much of it there is, once that is known. */
const needs = (state, say) =>
  state.needs?.length > 0 && h('span', { class: 'needs' }, say('head.needs', { n: state.needs.length }));

/** What waits for the lead, in words: a number alone says nothing. */
function badge(state, say) {
  const waits = waiting(state).filter(([key]) => key !== 'waits.codes-locked');
  const n = waits.reduce((sum, [, each]) => sum + each, 0);
  const words = [n > 0 && say('waits.badge', { n }), state.day.phone_code?.locked && say('waits.codes-locked', { n: 1 })];
  return words.some(Boolean) && h('span', { class: 'badge' }, words.filter(Boolean).join(', '));
}

/** An irregularity is about the open line, if one is in sight. */
export function writeUpEvent({ sheet, now, late, lists, dayWork, paperHours }) {
  const open = now || late || lists || dayWork || paperHours ? null : sheet;
  return { type: 'dialog-opened', kind: 'irregularity', lineId: open?.lineId ?? null, name: open?.name ?? '' };
}

/** One strip of a fixed place says how things stand; when they stand badly it says what to do. */
/** `strips`: what a part of the page says there instead, by its name: look and sentences, or null. */
export function strip(state, say, strips) {
  const [look, ...words] = Object.values(strips).map((own) => own(state, say)).find(Boolean) ?? standing(state, say);
  return h(
    'section',
    { class: `strip ${look}`, key: 'strip', 'aria-label': say('strip.name') },
    h(
      'p',
      { key: look, role: look === 'alarm' ? 'alert' : null },
      words.filter(Boolean).map((each) => h('span', null, each)),
    ),
  );
}

/** What comes before the next voter, once entries are gone from the record. */
export const toStop = (state, say) => say(isLead(state) ? 'strip.stop-lead' : 'strip.stop');

// Whoever does not read these believes something that is not so.
const BAD_NEWS = new Set(['signing.left', 'strip.unsent', 'strip.no-slip', 'strip.no-part']);

/** How the strip looks, and its sentences: the worst news, and what was just told. */
function standing(state, say) {
  const { day, pending, notice } = state;
  const told = notice && say(notice.key, notice.facts);
  if (!state.connection.isReachable) {
    return ['alarm', say(pending ? 'strip.unreachable-pending' : 'strip.unreachable'), told];
  }
  if (pending?.isWaiting) return ['alarm', say('strip.waiting'), told];
  if (state.olderRecord) return ['alarm', say('strip.record-is-older', state.olderRecord), toStop(state, say), told];
  if (day?.refusal) return ['alarm', say(`strip.${day.refusal}`)];
  if (copyHoldsMore(day)) return ['alarm', say('strip.copy-holds-more'), toStop(state, say), told];
  const copy = copyFails(day) && say('strip.copy-failing');
  if (notice) return [BAD_NEWS.has(notice.key) ? 'alarm' : 'loud', told, copy];
  if (!day?.worker) return [copy ? 'loud' : '', copy, say('strip.connected')];
  const isToday = day.is_election_date !== false;
  const date = dateWords(day.election.date, say.language, 'medium');
  return [
    day.phase === 'open' && isToday && !day.extended && !copy ? '' : 'loud',
    copy,
    !isToday && say('strip.other-day', { date }),
    phaseWords(state, say),
    day.extended && extendedWords(day, say),
    day.counts && say('strip.signed', { n: day.counts.signed }),
    say('strip.connected'),
  ];
}

/** Until the end of the line is marked nobody would be asked whether they came later. */
const extendedWords = ({ extended, election }, say) =>
  say(extended.end_is_marked === false ? 'strip.extended-unmarked' : 'strip.extended', {
    ...extended,
    closes: election.closes,
  });

function phaseWords(state, say) {
  const { day } = state;
  if (day.phase === 'not_open') {
    return say(isLead(state) ? 'phase.not_open-lead' : 'phase.not_open', day.election);
  }
  return say(`phase.${day.phase}`, day.election);
}
