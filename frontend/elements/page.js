/** The whole page from the whole state. Renders only: what is pressed goes out through `send`. */

import { confirmation } from './signing.js';
import { dialog } from './dialogs.js';
import { box, results } from './finder.js';
import { header, strip } from './header.js';
import { problemBox } from './controls.js';
import { h, paint } from './paint.js';
import { sheet } from './sheet.js';
import { signOn } from './sign_on.js';
import './signature_pad.js';

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
    h('main', { class: 'table', key: 'table' }, box(state, say, send), middle(state, say, send, page)),
    state.dialog && dialog(state, say, send),
  ].filter(Boolean),
};

function middle(state, say, send, page) {
  if (state.sheet) return sheet(state, say, send, page);
  return state.confirmation ? confirmation(state, say, send) : results(state, say, send);
}

function keepRowInSight(root, state) {
  const row = root.querySelector('[role="option"][aria-selected="true"]');
  const { asked, highlighted } = state.search;
  const now = `${asked} ${highlighted}`;
  if (row && highlighted > 0 && painted.row !== now) row.scrollIntoView({ block: 'nearest' });
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

/** Keys that reach no element: a click beside everything must not make the keyboard dead. */
export function catchStrayKeys(page, send) {
  document.addEventListener('keydown', (event) => {
    const { view, dialog: asked, sheet: open } = page();
    if (event.target !== document.body || view !== 'table' || asked) return;
    if (event.key === 'Escape') send({ type: open ? 'sheet-left' : 'box-cleared' });
    else if (open && event.altKey && event.code === 'KeyB') send({ type: 'cover-turned' });
    // The character itself follows the focus into the box.
    else if (!open) document.querySelector('[data-focus="box"]').focus();
  });
}

function placeFocus(root, state) {
  const { on, count } = state.focus;
  if (count === painted.focus) return;
  painted.focus = count;
  root.querySelector(`[data-focus="${on}"]`)?.focus();
}
