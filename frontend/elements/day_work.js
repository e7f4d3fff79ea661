/** The opening and the close: the one section that all their screens stand in. */

import { cautionWords } from '../logic/coded.js';
import { workScreens } from '../logic/day_work.js';
import { moveAmongAnswers } from './answers.js';
import { balanceScreen } from './balance.js';
import { checksScreen } from './checks.js';
import { button, problemBox } from './controls.js';
import { dayPapersScreen } from './day_papers.js';
import { machinesScreen } from './machines.js';
import { h } from './paint.js';
import { sealsScreen } from './seals.js';
import { toldScreen } from './work_told.js';
import { doubtScreen, workForm } from './work_form.js';

/** Each gives everything beneath the names of the screens. */
const SCREENS = {
  opening: checksScreen,
  machines: machinesScreen,
  seals: sealsScreen,
  closing: checksScreen,
  balance: balanceScreen,
  papers: dayPapersScreen,
};

export function dayWork(state, say, send, page) {
  const { dayWork: open } = state;
  return h(
    'section',
    { class: `work ${open.screen}`, key: `work-${open.openedAt}`, 'aria-labelledby': 'work-title', on: keys(page, send) },
    h(
      'div',
      { class: 'way-top', key: 'top' },
      button(say('work.back'), (event) => send({ type: 'work-back', at: event.timeStamp }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
      h('h2', { id: 'work-title' }, say(`work.${open.screen}`)),
      screens(state, say, send),
    ),
    h('div', { class: 'way-body', key: `body-${open.screen}` }, content(state, say, send), problem(open.problem, say)),
    h('p', { class: 'caution', key: 'caution' }, cautionWords(say, state.day.policy?.caution)),
  );
}

/** One thing at a time: what must be read first, then what is being written down. */
function content(state, say, send) {
  const { told, form, screen } = state.dayWork;
  if (told) return toldScreen(state, say, send);
  if (form && form.stage !== 'form') return doubtScreen(state, say, send);
  if (form) return workForm(state, say, send);
  return SCREENS[screen](state, say, send);
}

const OWN_WORDS = { 'paper-missing': 'work.no-paper', 'hand-over-failed': 'hand-over.failed' };

const problem = (told, say) =>
  OWN_WORDS[told?.code]
    ? h('p', { class: 'problem', key: 'problem', role: 'alert' }, say(OWN_WORDS[told.code]))
    : problemBox(say, told, { isKept: false });

const screens = (state, say, send) =>
  h(
    'nav',
    { class: 'screens', key: 'screens', 'aria-label': say('work.screens') },
    workScreens(state).map((screen) =>
      button(say(`work.${screen}`), (event) => send({ type: 'work-went', screen, at: event.timeStamp }), {
        key: screen,
        look: 'quiet',
        'aria-current': state.dayWork.screen === screen ? 'page' : null,
      }),
    ),
  );

const PRESSES = new Set(['Enter', ' ']);
const isPress = ({ key, target }) => PRESSES.has(key) && target.closest('button');

/**
 * A scan and a bouncing key press nothing: see logic/enter_guard.js. The arrows do not count
 * as keys of a scan, or going on to the next check and pressing it would take two tries.
 */
const keys = (page, send) => ({
  keydown: (event) => {
    const { key, repeat, timeStamp: at } = event;
    if (key === 'Escape') {
      event.preventDefault();
      send({ type: 'work-back', at });
      return;
    }
    moveAmongAnswers(event);
    if (!PRESSES.has(key) && [...key].length > 1) return;
    send({ type: 'key-pressed', at, repeat });
    if (isPress(event) && page().dayWork?.guard.isRefused) event.preventDefault();
  },
  keyup: (event) => {
    if (isPress(event) && event.key === ' ' && page().dayWork?.guard.isRefused) event.preventDefault();
  },
});
