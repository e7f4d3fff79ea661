/** The whole page from the whole state. Renders only: what is pressed goes out through `send`. */

import { lastCounting } from '../logic/keying.js';
import { mayKey } from '../logic/late_state.js';
import { hasPersonDraft } from '../logic/page_person.js';
import { isForBox } from '../logic/stray_keys.js';
import { confirmation } from './confirmation.js';
import { dialog } from './dialogs.js';
import { box, results } from './finder.js';
import { header, strip, writeUpEvent } from './header.js';
import { problemBox } from './controls.js';
import { undoEvent } from './keying.js';
import { late } from './late.js';
import { lists } from './lists.js';
import { bringIntoSight } from './sight.js';
import { h, paint } from './paint.js';
import { sheet } from './sheet.js';
import { signOn } from './sign_on.js';
import './signature_pad.js';
import { wayOut } from './way.js';

const painted = { focus: 0, said: 0, row: null };

/** `page()` gives the newest state at any later moment. */
export function paintPage(root, page, say, send) {
  const state = page();
  document.documentElement.lang = state.language;
  paint(root, VIEWS[state.view](state, say, send, page));
  keepRowInSight(root, state);
  tell(state, say);
  placeFocus(root, state);
}

const VIEWS = {
  waiting: (state, say) => [
    h(
      'main',
      { class: 'sign-on', key: 'waiting' },
      h('p', { class: 'verdict waiting' }, say('strip.starting')),
      problemBox(say, state.dayProblem),
    ),
  ],
  'sign-on': (state, say, send) => [signOn(state, say, send)],
  table: (state, say, send, page) => [
    header(state, say, send),
    strip(state, say),
    h('main', { class: 'table', key: 'table' }, middle(state, say, send, page)),
    state.dialog && dialog(state, say, send),
  ].filter(Boolean),
};

/** One thing at a time: on the way and over the lists nothing is typed into the box. */
function middle(state, say, send, page) {
  if (state.lists) return lists(state, say, send);
  if (state.late) return late(state, say, send, page);
  if (state.way) return wayOut(state, say, send, page);
  return [box(state, say, send), beneathBox(state, say, send, page)];
}

function beneathBox(state, say, send, page) {
  if (state.sheet) return sheet(state, say, send, page);
  return state.confirmation ? confirmation(state, say, send) : results(state, say, send);
}

function keepRowInSight(root, state) {
  const row = root.querySelector('[role="option"][aria-selected="true"]');
  const { asked, highlighted } = state.search;
  const now = `${asked} ${highlighted}`;
  if (row && painted.row !== now) bringIntoSight(row);
  painted.row = now;
}

/** One region that waits its turn, one that interrupts: see logic/attention.js. */
function tell(state, say) {
  const { key, facts, urgent, count } = state.said;
  if (count === painted.said) return;
  painted.said = count;
  const outcome = facts.outcome && say(`outcome.${facts.outcome}`);
  const words = key ? say(key, { ...facts, ...(outcome && { outcome }) }) : '';
  document.getElementById('said').textContent = urgent ? '' : words;
  document.getElementById('said-urgently').textContent = urgent ? words : '';
}

// A character made with AltGr counts as Ctrl and Alt on some keyboards.
const isModified = (event) =>
  (event.ctrlKey || event.altKey || event.metaKey) && !event.getModifierState('AltGraph');
const isInField = (event) => event.target.matches('input, textarea');

/** Keys for the table that whatever has the focus has no use for: see logic/stray_keys.js. */
export function catchStrayKeys(page, send) {
  document.addEventListener('keydown', (event) => {
    const { view, dialog: asked, sheet: open, way, lists: listed, late: later } = page();
    if (view !== 'table' || asked || event.defaultPrevented) return;
    if (event.key === 'Escape') send({ type: 'escape-pressed' });
    else if (isShortcut(event)) pressShortcut(event, page(), send);
    else if (later && !listed) strayOverLate(event, later);
    else if (way || listed) return;
    else if (open && event.altKey && event.code === 'KeyB') send({ type: 'cover-turned' });
    else if (isForBox({ key: event.key, isModified: isModified(event), isInField: isInField(event) })) {
      focusBox(document);
    }
  });
}

const SHORTCUTS = new Set(['KeyI', 'KeyU']);
const isShortcut = (event) => event.altKey && !event.ctrlKey && SHORTCUTS.has(event.code);

/** Alt+I writes an irregularity from anywhere, Alt+U takes the last keyed row back. */
function pressShortcut(event, state, send) {
  const { late: later } = state;
  const last = later?.screen === 'keying' && lastCounting(later.keying);
  if (event.code === 'KeyI' && mayKey(state)) {
    event.preventDefault();
    send(writeUpEvent(state));
  } else if (event.code === 'KeyU' && last) {
    event.preventDefault();
    send(undoEvent(last));
  }
}

/** A name typed, or a card scanned, while something else has the focus goes into the one box. */
function strayOverLate(event, { screen, keying }) {
  const box = screen === 'keying' && !hasPersonDraft(keying) && document.querySelector('[data-focus="keying-box"]');
  const key = { key: event.key, isModified: isModified(event), isInField: isInField(event) };
  if (!box || !isForBox(key)) return;
  // A digit on an answer chooses it: see elements/answers.js.
  if (event.target.closest('.answers') && /^[1-9]$/.test(event.key)) return;
  box.focus({ preventScroll: true });
  box.select();
}

/** The character itself follows the focus into the box, and replaces what stands there. */
function focusBox(root) {
  const box = root.querySelector('[data-focus="box"]');
  box.focus({ preventScroll: true });
  box.select();
  bringIntoSight(box);
}

// What must be seen along with what has the focus: the answers of a question, the reason of a verdict.
const SEEN_WITH = { question: '.step', step: '.step', verdict: '#next' };

function placeFocus(root, state) {
  const { on, count } = state.focus;
  if (count === painted.focus) return;
  painted.focus = count;
  if (on === 'box' && root.querySelector('[data-focus="box"]')) {
    focusBox(root);
    return;
  }
  const place = root.querySelector(`[data-focus="${on}"]`);
  place?.focus({ preventScroll: true });
  // What is typed next takes the place of what was looked up.
  if (on === 'keying-box' && !hasPersonDraft(state.late?.keying)) place?.select();
  if (place && !state.dialog) bringIntoSight(place, SEEN_WITH[on] && root.querySelector(SEEN_WITH[on]));
}
