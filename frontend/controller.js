/**
 * Wires the page: keeps the one state, sends what was pressed through the pure logic,
 * paints, and talks to the server. The only module with a clock, storage or requests.
 *
 * What an event needs from the server stands in EFFECTS, one function for each event.
 */

import { get, getWords, listen, newKey, post } from './api.js';
import { catchStrayKeys, paintPage } from './elements/page.js';
import { touchesResults, touchesSheet } from './logic/day.js';
import { firstState, isSeen, isUnmeant, update } from './logic/page.js';
import { isDueAgain, isUnanswered } from './logic/pending.js';
import { BURST_MS, hasText, textToSend } from './logic/search.js';
import { answersToAskAgain, hasEvidence } from './logic/sheet.js';
import { sayIn, timeWords } from './logic/wording.js';

const TICK_MS = 250;
// Two questions in the time within which a worker must know that the server is gone.
const DAY_EVERY_MS = 800;
const DAY_TIMEOUT_MS = 1500;
const SEND_AGAIN_EVERY_MS = 1000;
// Once no character has come for this long, a scan is over.
const SCAN_OVER_MS = 2 * BURST_MS;
const SHOWN_LINES = 8;
const LOCALE = { en: 'en-US', es: 'es-US' };

const root = document.getElementById('page');
const now = () => performance.now();
const words = {};
let state = null;
let search = null;
let scanTimer = null;
let stopListening = null;
let dayAskedAt = -Infinity;
// Answers about the day may overtake each other: an older one never replaces a newer one.
let dayAsked = 0;
let dayTaken = 0;
let sentAt = -Infinity;
// Requests of the open sheet go one after the other, each with the newest evidence.
let sheetWork = Promise.resolve();

const page = () => state;
const say = () => words[state.language];

function send(event) {
  if (event.type === 'escape-pressed') {
    send({ type: state.sheet ? 'sheet-left' : 'box-cleared' });
    return;
  }
  if (isUnmeant(state, event)) return;
  const before = state;
  state = update(state, event);
  if (isSeen(before, state)) paintPage(root, page, say(), send);
  EFFECTS[event.type]?.(event, before);
  const { opening } = state.search;
  if (opening) openLine(opening);
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
const NO_ANSWER = { code: 'unreachable' };

/* The day and the connection */

async function askDay() {
  dayAskedAt = now();
  dayAsked += 1;
  const asked = dayAsked;
  const answer = await heard(get('/day', { timeoutMs: DAY_TIMEOUT_MS }));
  if (!answer || asked < dayTaken) return;
  dayTaken = asked;
  if (isGood(answer)) send({ type: 'day-came', day: answer.body });
  else send({ type: 'day-failed', problem: answer.body });
}

function tick() {
  const at = now();
  send({ type: 'clock-ticked', at });
  if (at - dayAskedAt > DAY_EVERY_MS) askDay();
  if (isDueAgain(state) && at - sentAt > SEND_AGAIN_EVERY_MS) sendPending();
  followSession();
}

/** Listens to the other tables exactly while somebody is signed on. */
function followSession() {
  if (state.view === 'table' && !stopListening && state.connection.isReachable) {
    const stop = listen(entryCame, (isClosed) => {
      askDay();
      if (isClosed && stopListening === stop) stopListening = null;
    });
    stopListening = stop;
  } else if (state.view !== 'table' && stopListening) {
    stopListening();
    stopListening = null;
  }
}

function entryCame(entry) {
  const time = timeWords(entry.at, state.day.election.time_zone);
  if (touchesSheet(state, entry)) loadLine(state.sheet.lineId);
  send({ type: 'entry-came', entry, time });
  if (touchesResults(state, entry)) send({ type: 'asked-again' });
  askDay();
}

/* Finding */

async function find() {
  search?.abort();
  if (!hasText(state.search)) return;
  search = new AbortController();
  const { signal } = search;
  const { asked } = state.search;
  try {
    const body = { text: textToSend(state.search), limit: SHOWN_LINES };
    const answer = await heard(post('/find', body, { signal }));
    if (!answer) send({ type: 'not-found', asked });
    else if (!isGood(answer)) send({ type: 'not-found', asked, problem: answer.body });
    else send({ type: 'found', asked, answer: answer.body });
  } catch (error) {
    // A newer question has taken its place; anything else is a fault of ours.
    if (error.name !== 'AbortError') throw error;
  }
}

/** A person's key is answered at once; of a scan only the whole is asked for. */
function findWhenTyped() {
  clearTimeout(scanTimer);
  if (!state.search.isBurst) find();
  else scanTimer = setTimeout(find, BURST_MS);
}

function holdEnter() {
  if (!state.search.isHeld) return;
  clearTimeout(scanTimer);
  scanTimer = setTimeout(() => {
    send({ type: 'burst-ended' });
    if (state.search.isEntering) find();
  }, SCAN_OVER_MS);
}

/* The open line */

function openLine(lineId, name) {
  search?.abort();
  send({ type: 'line-opened', lineId, name, at: now() });
  loadLine(lineId);
}

const inTurn = (work) => {
  sheetWork = sheetWork.then(work, work);
};

function loadLine(lineId) {
  inTurn(async () => {
    if (state.sheet?.lineId !== lineId) return;
    const answer = await heard(get(`/lines/${lineId}`));
    const problem = problemOf(answer);
    if (problem || state.sheet?.lineId !== lineId) {
      send({ type: 'check-refused', lineId, problem });
      return;
    }
    const line = answer.body;
    const { evidence } = state.sheet;
    const checked = hasEvidence(evidence) ? await heard(check(lineId, evidence)) : null;
    const verdict = checked && isGood(checked) ? checked.body.verdict : line.verdict;
    send({ type: 'line-came', lineId, answer: { ...line, verdict }, at: now() });
  });
}

const problemOf = (answer) => {
  if (!answer) return NO_ANSWER;
  return isGood(answer) ? null : answer.body;
};

const check = (lineId, evidence) => post(`/lines/${lineId}/check`, { evidence });

/** Asks the rules again with `said` changed; only a verdict makes the change stand. */
function weigh(change) {
  const { lineId } = state.sheet;
  inTurn(async () => {
    if (state.sheet?.lineId !== lineId) return;
    const evidence = { ...state.sheet.evidence, ...change };
    const answer = await heard(check(lineId, evidence));
    const problem = problemOf(answer);
    if (problem) send({ type: 'check-refused', lineId, problem });
    else send({ type: 'verdict-came', lineId, evidence, verdict: answer.body.verdict, at: now() });
  });
}

/* Writing */

function write(what, path, body, facts = {}) {
  const { sheet } = state;
  const write = {
    key: newKey(),
    what,
    path,
    body,
    lineId: sheet?.lineId ?? null,
    name: sheet?.name ?? '',
    searchText: state.search.text,
    ...facts,
  };
  if (state.pending) return;
  send({ type: 'write-started', write });
  sendPending();
}

async function sendPending() {
  const { key, path, body, lineId, what, isWaiting } = state.pending;
  if (isWaiting) send({ type: 'write-sent-again' });
  sentAt = now();
  const answer = await heard(post(path, body, { key }));
  if (state.pending?.key !== key) return;
  if (isUnanswered(answer, state.pending)) {
    send({ type: 'write-unanswered', key });
    return;
  }
  if (isGood(answer)) send({ type: 'write-accepted', key, receipt: answer.body });
  else send({ type: 'write-refused', key, problem: answer.body });
  if (state.sheet && (state.sheet.lineId === lineId || what === 'turn')) loadLine(state.sheet.lineId);
  askDay();
}

/** Strokes go along only where something was drawn. */
const signed = (strokes) =>
  strokes.length ? { how: 'drawn', strokes } : { how: 'paper', strokes: null };

const onLine = (end) => `/lines/${state.sheet.lineId}/${end}`;

/** The server is back: ask again for whatever it could not answer. */
function serverAnswered(_, before) {
  if (before.connection.isReachable || state.view !== 'table') return;
  if (state.sheet) loadLine(state.sheet.lineId);
  send({ type: 'asked-again' });
}

const EFFECTS = {
  'server-answered': serverAnswered,
  typed: findWhenTyped,
  'asked-again': find,
  'enter-pressed': holdEnter,
  found: (_, before) => {
    if (state !== before && !state.sheet && !before.search.isRefresh) send({ type: 'fits-told' });
  },
  'look-alike-opened': ({ lineId, name }) => openLine(lineId, name),
  answered: ({ said, value }) => weigh({ [said]: value }),
  'ask-again-pressed': () =>
    weigh(Object.fromEntries(answersToAskAgain(state.sheet).map((said) => [said, null]))),
  'sign-pressed': () => {
    const { evidence, strokes, verdict } = state.sheet;
    const facts = { ballotButton: verdict.ballot_button };
    write('signature', onLine('signature'), { ...signed(strokes), evidence }, facts);
  },
  'card-completed': () => write('address-confirmation', onLine('address-confirmation'), {}),
  'no-helper': () =>
    write('assistance', onLine('assistance'), { wanted: false, helper_name: '', ...signed([]) }),
  'helper-recorded': () => {
    const { name, strokes } = state.sheet.helper;
    const helper = { wanted: true, helper_name: name.trim(), ...signed(strokes) };
    write('assistance', onLine('assistance'), helper);
  },
  'withdrawal-confirmed': () =>
    write('withdrawal', onLine('signature/withdraw'), { reason: state.dialog.text.trim() }),
  'turn-confirmed': ({ turn }) => write('turn', `/day/${turn}`, {}),
  'sign-on-asked': signOn,
  'sign-off-asked': signOff,
  'language-asked': ({ language }) => speak(language),
};

async function signOn({ initials, pin, station }) {
  localStorage.setItem('station', station);
  const answer = await heard(post('/sign-on', { initials, pin, station }));
  const problem = problemOf(answer);
  if (problem) {
    send({ type: 'sign-on-refused', problem });
    return;
  }
  send({ type: 'signed-on' });
  askDayAnew();
}

/** What was asked before somebody signed on or off is about somebody else. */
function askDayAnew() {
  dayTaken = dayAsked + 1;
  askDay();
}

async function signOff() {
  if (state.pending) {
    send({ type: 'sign-off-held' });
    return;
  }
  const answer = await heard(post('/sign-off', {}));
  if (!answer || !isGood(answer)) return;
  send({ type: 'signed-off' });
  askDayAnew();
}

async function loadWords(language) {
  words[language] ??= sayIn(await getWords(language), LOCALE[language]);
}

/** Changes the language once its words are here; with the server gone it stays as it is. */
async function speak(language) {
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
  askDay();
}

start();
