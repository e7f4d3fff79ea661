/** Which presses by key on the uppermost section count: see logic/enter_guard.js. */

import { moveAmongAnswers } from './answers.js';

const PRESSES = new Set(['Enter', ' ']);
const isPress = (event) => event.target.closest('button') && PRESSES.has(event.key);

/**
 * Handlers for a section whose guard is `guardOf(page())`: the newest state, because the
 * guard must be asked after the key was noted. `escaped` is what Escape does.
 */
export const guardKeys = (page, guardOf, send, escaped) => ({
  keydown: (event) => {
    const { key, repeat, timeStamp: at } = event;
    if (key === 'Escape') {
      event.preventDefault();
      return escaped(event);
    }
    if (event.altKey && event.code === 'KeyB') {
      event.preventDefault();
      return send({ type: 'cover-turned' });
    }
    moveAmongAnswers(event);
    send({ type: 'key-pressed', at, repeat });
    if (isPress(event) && guardOf(page())?.isRefused) event.preventDefault();
  },
  keyup: (event) => {
    if (isPress(event) && event.key === ' ' && guardOf(page())?.isRefused) event.preventDefault();
  },
});
