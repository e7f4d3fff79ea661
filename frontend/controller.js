/**
 * Wires the page: keeps the one state, sends what was pressed through the pure logic,
 * paints, and talks to the server. The only module with a clock, storage or requests.
 *
 * What an event needs from the server stands in `acts/`, one module for each subject; they
 * get the server, the clock and each other through the `desk` that is made here.
 */

import { dayActs } from './acts/day.js';
import { findingActs } from './acts/finding.js';
import { lineActs } from './acts/line.js';
import { seenHeadActs } from './acts/seen_head.js';
import { writingActs } from './acts/writing.js';
import { getWords, get, hasPaper, listen, newKey, post } from './api.js';
import { noteActivity, swallowKeys } from './elements/keys.js';
import { catchStrayKeys, noViews, paintPage } from './elements/page.js';
import { addStylesheet } from './elements/stylesheet.js';
import { isLead, isStandby } from './logic/day.js';
import { endsWarning } from './logic/lock.js';
import { firstState, isSameSubject, isSeen, pageOf } from './logic/page.js';
import { isDueAgain } from './logic/pending.js';
import { onDemand } from './on_demand.js';
import { PARTS, TABLE } from './parts.js';
import { LOCALE, vocabulary } from './vocabulary.js';

const TICK_MS = 250;
// Longer than a fetch on a hall's network; after that the next voter may be typed.
const KEYS_WAIT_MS = 1500;
const NO_ANSWER = { code: 'unreachable' };

const root = document.getElementById('page');
const now = () => performance.now();
const vocabularies = vocabulary(getWords);
const views = noViews();
let state = null;
let heldAt = -Infinity;
let logic = pageOf();
// By name, the tables of the parts that are here.
const partsHere = new Map();

const page = () => state;
const repaint = () => paintPage(root, page, vocabularies.sayingsIn(state.language), send, views);

function send(event) {
  if (event.type === 'escape-pressed') {
    send(logic.escapeEvent(state, now()));
    return;
  }
  if (logic.isUnmeant(state, event)) return;
  if (parts.holds(event, state)) {
    heldAt = now();
    return;
  }
  const before = state;
  state = logic.update(state, event);
  if (isSeen(before, state)) repaint();
  for (const act of effects[event.type] ?? []) act(event, before);
  for (const follow of follows) follow(before);
  const { opening } = state.search;
  if (opening) desk.openLine(opening);
}

/** Waits for an answer and notes what it says of connection and session; null if it ended either. */
async function heard(question) {
  const askedAt = now();
  const answer = await question;
  // Taken out, or at another address now: the server leads to the page that joins.
  if (answer?.body.code === 'not-joined') location.reload();
  send(answer ? { type: 'server-answered', at: now() } : { type: 'server-failed', askedAt });
  if (answer?.status === 401 && answer.body.code !== 'wrong-pin' && state.view === 'table') {
    send({ type: 'session-ended' });
    return null;
  }
  // The day tells it, too. What was asked is asked again once the PIN is typed.
  if (answer?.body.code === 'covered') return null;
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
  openPaper,
  vocabularies,
  keepStation: (station) => localStorage.setItem('station', station),
  keepCovered,
  seenHead,
  keepSeenHead: (head) => localStorage.setItem('head', JSON.stringify(head)),
};

// What happens after an event, by its type, and what looks at every change.
const effects = {};
const follows = [];

function join(acts) {
  const { effects: own, follow, ...shared } = acts(desk);
  for (const [type, act] of Object.entries(own)) (effects[type] ??= []).push(act);
  if (follow) follows.push(follow);
  // The acts call each other only once all of them are here.
  Object.assign(desk, shared);
}

join(() => ({
  effects: { 'server-answered': serverAnswered, 'language-asked': speak, 'slip-asked': openSlip, 'day-came': prepareParts },
}));
for (const acts of [seenHeadActs, dayActs, findingActs, lineActs, writingActs]) join(acts);

const parts = onDemand(PARTS, {
  isHere: (name) => partsHere.has(name),
  bring: bringPart,
  // The guards are asked anew: what the press opens was not in sight while it was fetched.
  sendOn: (event, before) => {
    if (isSameSubject(before, state)) send(Object.hasOwn(event, 'at') ? { ...event, at: now() } : event);
  },
  tellMissing: (error) => {
    console.warn(error);
    send({ type: 'part-missing' });
  },
});

/** Module, stylesheet and words of a part, which is then on the page; fails if one cannot be had. */
async function bringPart(name) {
  const askedAt = now();
  const { module, stylesheet } = PARTS[name];
  try {
    const [part] = await Promise.all([module(), addStylesheet(stylesheet)]);
    // The language may change meanwhile.
    while (!vocabularies.knows(state.language, name)) await vocabularies.learn(state.language, name);
    addPart(name, part);
  } catch (error) {
    send({ type: 'server-failed', askedAt });
    throw error;
  }
}

function addPart(name, { tables, acts, views: shown }) {
  partsHere.set(name, tables);
  logic = pageOf(...partsHere.values());
  for (const [kind, table] of Object.entries(shown)) Object.assign(views[kind], table);
  acts.forEach(join);
  send({ type: 'part-came' });
  // What is on the page already may wait for its view.
  repaint();
}

function tick() {
  send({ type: 'clock-ticked', at: now() });
  desk.askDayWhenDue();
  desk.sendAgainWhenDue(isDueAgain(state));
  desk.followSession();
  if (state.lock && state.connection.isReachable) parts.prepare('cover');
}

/** The server is back: ask again for whatever it could not answer. */
function serverAnswered(_, before) {
  if (before.connection.isReachable || state.view !== 'table') return;
  if (state.sheet) desk.loadLine(state.sheet.lineId);
  send({ type: 'asked-again' });
}

/** What needs a lead stands in the head of their page, so that part is there without a press. */
function prepareParts() {
  if (isStandby(state)) parts.prepare('standby');
  // A round of exercises is recorded.
  else if (state.day.practice) parts.prepare('practice');
  if (isLead(state)) parts.prepare('now');
}

/** Null where nothing is remembered, or nothing that can be read. */
function seenHead() {
  try {
    return JSON.parse(localStorage.getItem('head'));
  } catch {
    return null;
  }
}

/** Loading the page anew must not uncover it. */
function keepCovered(isCovered) {
  if (isCovered) localStorage.setItem('covered', 'yes');
  else localStorage.removeItem('covered');
}

/** A paper in a window of its own; where it cannot be had the table is told, not the window. */
async function openPaper(path, missing) {
  if (await hasPaper(path)) window.open(`/api${path}`, '_blank', 'noopener');
  else send({ type: missing });
}

function openSlip({ seq, language }) {
  openPaper(`/papers/slip-${seq}.pdf?language=${language}`, 'slip-missing');
}

/** A part that is here while its words in this language are not; another may come meanwhile. */
const lackingIn = (language) =>
  [TABLE, ...partsHere.keys()].find((part) => !vocabularies.knows(language, part));

/** Changes the language once its words are here; with the server gone it stays as it is. */
async function speak({ language }) {
  try {
    while (lackingIn(language)) await vocabularies.learn(language, lackingIn(language));
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
  await vocabularies.learn(language, TABLE);
  const wasCovered = localStorage.getItem('covered') !== null;
  state = firstState({ language, station, at: now(), wasCovered });
  repaint();
  catchStrayKeys(page, send, views);
  swallowKeys(() => parts.isWaiting() && now() - heldAt < KEYS_WAIT_MS);
  noteActivity((key) => endsWarning(state, key), () => send({ type: 'worker-active', at: now() }));
  setInterval(tick, TICK_MS);
  desk.askDay();
}

start();
