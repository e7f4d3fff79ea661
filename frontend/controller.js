/**
 * Wires the page: keeps the one state, sends what was pressed through the pure logic,
 * paints, and talks to the server. The only module with a clock, storage or requests.
 *
 * What an event needs from the server stands in `acts/`, one module for each subject; they
 * get the server, the clock and each other through the `desk` that is made here.
 */

import { authorisationActs } from './acts/authorisations.js';
import { dayActs } from './acts/day.js';
import { callActs } from './acts/call.js';
import { findingActs } from './acts/finding.js';
import { keyingActs } from './acts/keying.js';
import { lateActs } from './acts/late.js';
import { lineActs } from './acts/line.js';
import { pageRowActs } from './acts/page_rows.js';
import { wayActs } from './acts/way.js';
import { writingActs } from './acts/writing.js';
import { getWords, get, hasPaper, listen, newKey, post } from './api.js';
import { catchStrayKeys, paintPage } from './elements/page.js';
import { firstState, isSeen, isUnmeant, update } from './logic/page.js';
import { isDueAgain } from './logic/pending.js';
import { sayIn } from './logic/wording.js';

const TICK_MS = 250;
const LOCALE = { en: 'en-US', es: 'es-US' };
const NO_ANSWER = { code: 'unreachable' };

const root = document.getElementById('page');
const now = () => performance.now();
const words = {};
let state = null;

const page = () => state;
const say = () => words[state.language];

// What Escape means, by what lies uppermost.
const escapeEvent = () => {
  if (state.lists) return { type: 'lists-left' };
  if (state.late) return { type: 'late-back', at: now() };
  if (state.way) return { type: 'way-back', at: now() };
  return { type: state.sheet ? 'sheet-left' : 'box-cleared' };
};

function send(event) {
  if (event.type === 'escape-pressed') {
    send(escapeEvent());
    return;
  }
  if (isUnmeant(state, event)) return;
  const before = state;
  state = update(state, event);
  if (isSeen(before, state)) paintPage(root, page, say(), send);
  effects[event.type]?.(event, before);
  if (state.way !== before.way) desk.followWay();
  const { opening } = state.search;
  if (opening) desk.openLine(opening);
}

/** Waits for an answer and notes what it says of connection and session; null if it ended either. */
async function heard(question) {
  const askedAt = now();
  const answer = await question;
  send(answer ? { type: 'server-answered', at: now() } : { type: 'server-failed', askedAt });
  if (answer?.status === 401 && state.view === 'table') {
    send({ type: 'session-ended' });
    return null;
  }
  return answer;
}

const isGood = (answer) => answer.status < 300;

const problemOf = (answer) => {
  if (!answer) return NO_ANSWER;
  return isGood(answer) ? null : answer.body;
};

const desk = {
  get state() {
    return state;
  },
  send,
  now,
  heard,
  isGood,
  problemOf,
  get,
  post,
  newKey,
  listen,
  keepStation: (station) => localStorage.setItem('station', station),
};

const effects = { 'server-answered': serverAnswered, 'language-asked': speak, 'slip-asked': openSlip, 'proof-asked': openProof };
for (const acts of [dayActs, findingActs, lineActs, writingActs, wayActs, lateActs, keyingActs, callActs, authorisationActs, pageRowActs]) {
  const { effects: own, ...shared } = acts(desk);
  Object.assign(effects, own);
  // The acts call each other only once all of them are here.
  Object.assign(desk, shared);
}

function tick() {
  send({ type: 'clock-ticked', at: now() });
  desk.askDayWhenDue();
  desk.sendAgainWhenDue(isDueAgain(state));
  desk.followSession();
}

/** The server is back: ask again for whatever it could not answer. */
function serverAnswered(_, before) {
  if (before.connection.isReachable || state.view !== 'table') return;
  if (state.sheet) desk.loadLine(state.sheet.lineId);
  if (state.way && !state.way.line) desk.askWay();
  send({ type: 'asked-again' });
}

/** A paper in a window of its own; where it cannot be had the table is told, not the window. */
async function openPaper(path, missing) {
  if (await hasPaper(path)) window.open(`/api${path}`, '_blank', 'noopener');
  else send({ type: missing });
}

function openSlip({ seq, language }) {
  openPaper(`/papers/slip-${seq}.pdf?language=${language}`, 'slip-missing');
}

function openProof({ listId, language }) {
  openPaper(`/papers/list-${listId}.pdf?language=${language.slice(0, 2)}`, 'proof-missing');
}

async function loadWords(language) {
  words[language] ??= sayIn(await getWords(language), LOCALE[language]);
}

/** Changes the language once its words are here; with the server gone it stays as it is. */
async function speak({ language }) {
  try {
    await loadWords(language);
  } catch {
    send({ type: 'server-failed', askedAt: now() });
    return;
  }
  localStorage.setItem('language', language);
  send({ type: 'language-chosen', language });
}

async function start() {
  const spoken = localStorage.getItem('language') ?? navigator.language.slice(0, 2);
  const language = Object.hasOwn(LOCALE, spoken) ? spoken : 'en';
  const station = localStorage.getItem('station') ?? '';
  await loadWords(language);
  state = firstState({ language, station, at: now() });
  paintPage(root, page, say(), send);
  catchStrayKeys(page, send);
  setInterval(tick, TICK_MS);
  desk.askDay();
}

start();
