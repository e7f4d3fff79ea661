/**
 * The whole page from the whole state. Renders only: what is pressed goes out through `send`.
 *
 * `views` holds what the parts of the page show, each table empty until a part fills it:
 * `layers` by slot of the state, `dialogs` and `confirmations` by kind, `inSheet` by what is
 * filled in there, `shortcuts` by key, `strayKeys` by slot, what stands on the cover, in the
 * lead's view, over the sign-on and in the strip, and `asides` beside the table.
 */

import { isLead } from '../logic/day.js';
import { mayKey } from '../logic/late_state.js';
import { openSlots } from '../logic/layers.js';
import { isCovered, isWarned } from '../logic/lock.js';
import { confirmation } from './confirmation.js';
import { dialog } from './dialogs.js';
import { box, results } from './finder.js';
import { header, strip, writeUpEvent } from './header.js';
import { problemBox } from './controls.js';
import { isForBoxNow, placeOfDigit } from './keys.js';
import { bringIntoSight } from './sight.js';
import { h, paint } from './paint.js';
import { sheet } from './sheet.js';
import { signOn } from './sign_on.js';
import './signature_pad.js';

export const noViews = () => ({ layers: {}, dialogs: {}, confirmations: {}, inSheet: {}, shortcuts: {}, strayKeys: {}, covers: {}, asides: {}, inNow: {}, overSignOn: {}, strips: {} });

const bareCover = ({ connection }, say) =>
  h(
    'main',
    { class: 'sign-on', key: 'bare' },
    h('h2', null, say('lock.title')),
    !connection.isReachable && h('p', { class: 'strip alarm', role: 'alert' }, say('strip.unreachable')),
  );

/** Above every dialog, and without taking the focus from where it is. */
const warning = (say) =>
  h(
    'div',
    { class: 'idle-warning', key: 'idle-warning', popover: 'manual', mounted: (node) => node.showPopover?.() },
    say('lock.warning'),
  );

const painted = { focus: 0, said: 0, row: null };

/** `page()` gives the newest state at any later moment. */
export function paintPage(root, page, say, send, views) {
  const state = page();
  document.documentElement.lang = state.language;
  const shown = VIEWS[isCovered(state) ? 'covered' : state.view](state, say, send, page, views);
  paint(root, state.day?.practice ? [practiceBand(say), ...shown] : shown);
  keepRowInSight(root, state);
  tell(state, say);
  placeFocus(root, state);
}

/** On every screen, before its part has come and where that cannot be had. */
const practiceBand = (say) =>
  h('aside', { class: 'practice-band', key: 'practice-band' }, h('p', null, say('practice.band')));

const VIEWS = {
  waiting: (state, say) => [
    h(
      'main',
      { class: 'sign-on', key: 'waiting' },
      h('p', { class: 'verdict waiting' }, say('strip.starting')),
      problemBox(say, state.dayProblem),
    ),
  ],
  'sign-on': (state, say, send, page, views) => [signOn(state, say, send, views)],
  // Whatever was on it is gone from the page; without its part nobody could be asked for a PIN.
  covered: (state, say, send, page, { covers }) => [
    covers.cover?.(state, say, send) ?? bareCover(state, say),
  ],
  table: (state, say, send, page, views) => [
    header(state, say, send),
    strip(state, say, views.strips),
    Object.values(views.asides).map((aside) => aside(state, say, send)),
    h('main', { class: 'table', key: 'table' }, middle(state, say, send, page, views)),
    state.dialog && dialog(state, say, send, views.dialogs),
    isWarned(state) && warning(say),
  ].flat().filter(Boolean),
};

/** One thing at a time: on the way and over the lists nothing is typed into the box. */
function middle(state, say, send, page, views) {
  const [slot] = openSlots(state);
  if (slot) return views.layers[slot](state, say, send, page, views);
  return [box(state, say, send), beneathBox(state, say, send, page, views)];
}

function beneathBox(state, say, send, page, { inSheet, confirmations }) {
  if (state.sheet) return sheet(state, say, send, page, inSheet);
  return state.confirmation ? confirmation(state, say, send, confirmations) : results(state, say, send);
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
  const words = key && !isCovered(state) ? say(key, { ...facts, ...(outcome && { outcome }) }) : '';
  document.getElementById('said').textContent = urgent ? '' : words;
  document.getElementById('said-urgently').textContent = urgent ? words : '';
}

/** Keys for the table that whatever has the focus has no use for: see logic/stray_keys.js. */
export function catchStrayKeys(page, send, views) {
  document.addEventListener('keydown', (event) => {
    const state = page();
    if (state.view !== 'table' || isCovered(state) || state.dialog || event.defaultPrevented) return;
    const [slot] = openSlots(state);
    const shortcut = shortcutOf(event, views);
    if (event.key === 'Escape') send({ type: 'escape-pressed' });
    else if (shortcut) pressShortcut(event, shortcut(state), send);
    else if (slot) views.strayKeys[slot]?.(event, state);
    else if (state.sheet && event.altKey && event.code === 'KeyB') send({ type: 'cover-turned' });
    else if (placeOfDigit(event) !== null) pressDigit(event, state, send);
    else if (isForBoxNow(event)) focusBox(document);
  });
}

/** The browser, or the keyboard, has a meaning of its own for some of these. */
function pressDigit(event, state, send) {
  if (state.sheet || !state.search.matches.length) return;
  event.preventDefault();
  send({ type: 'digit-pressed', place: placeOfDigit(event), at: event.timeStamp, repeat: event.repeat });
}

/** Alt+I writes an irregularity from anywhere, Alt+N tells the lead what waits. Each gives its event, or nothing. */
const SHORTCUTS = {
  KeyI: (state) => mayKey(state) && writeUpEvent(state),
  KeyN: (state) => isLead(state) && { type: 'now-opened' },
};

const shortcutOf = (event, { shortcuts }) =>
  event.altKey && !event.ctrlKey && (SHORTCUTS[event.code] ?? shortcuts[event.code]);

function pressShortcut(event, meant, send) {
  if (!meant) return;
  event.preventDefault();
  send(meant);
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
  if (on === 'keying-box' && !place?.hasAttribute('data-keeps-text')) place?.select();
  if (place && !state.dialog) bringIntoSight(place, SEEN_WITH[on] && root.querySelector(SEEN_WITH[on]));
}
