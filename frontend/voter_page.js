/**
 * The voter's window. It knows only what the worker's page posts to it, asks the server nothing
 * (its page forbids it to) and keeps nothing. As soon as the worker's page is silent or gone it
 * shows nobody.
 */

import './elements/signature_pad.js';
import { paint } from './elements/paint.js';
import { practiceBand, voterView } from './elements/voter_view.js';

const ASK_MS = 1000;
// Three questions without an answer: the worker's page was closed, or loaded anew.
const SILENCE_MS = 3500;

const root = document.getElementById('voter');
const worker = window.opener;
let shown = { what: 'nobody', waiting: null };
// The words of the calm page, and those of a practice day, once they were heard.
let waiting = null;
let practice = null;
let heardAt = performance.now();
// How often this voter has drawn: an older state of the pad never replaces a newer one.
let drawn = 0;

const isWorkerThere = () => Boolean(worker) && !worker.closed;

function tell(message) {
  if (isWorkerThere()) worker.postMessage({ ...message, turn: shown.turn, count: drawn }, window.origin);
}

function send(message) {
  if (message.what === 'drew') {
    drawn += 1;
    shown = { ...shown, strokes: message.strokes, isDone: false };
  }
  tell(message);
  show();
}

function show() {
  document.documentElement.lang = shown.language ?? 'en';
  if (practice) markTitle();
  paint(root, [practice && practiceBand(practice), voterView(shown, send)].filter(Boolean));
}

/** Nobody may take this window for a real one. */
function markTitle() {
  document.documentElement.dataset.practice = '';
  document.title = practice.map(({ words }) => words).join(' / ');
}

function showNobody() {
  shown = { what: 'nobody', waiting };
  drawn = 0;
  show();
}

function showLine(line) {
  const isNext = line.turn !== shown.turn;
  if (isNext) drawn = 0;
  const isOlder = !isNext && line.heard < drawn;
  shown = isOlder ? { ...line, strokes: shown.strokes } : line;
  show();
  if (isNext) document.getElementById('voter-name').focus({ preventScroll: true });
}

function take(message) {
  heardAt = performance.now();
  waiting = message.waiting ?? waiting;
  practice = message.practice ?? practice;
  if (message.what === 'line') showLine(message);
  if (message.what === 'nobody') showNobody();
}

window.addEventListener('message', (event) => {
  if (isWorkerThere() && event.source === worker && event.origin === window.origin) take(event.data);
});

setInterval(() => {
  tell({ what: 'there' });
  const isSilent = performance.now() - heardAt > SILENCE_MS;
  if (shown.what === 'line' && (isSilent || !isWorkerThere())) showNobody();
}, ASK_MS);

show();
tell({ what: 'ready' });
