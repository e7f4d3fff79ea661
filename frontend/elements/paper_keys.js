/** Keys on the screens of the hours on paper that whatever has the focus has no use for. */

import { rowsOf } from '../logic/paper_state.js';
import { undoShortcut } from './late_keys.js';
import { isForBoxNow } from './keys.js';
import { undoEvent } from './paper_rows.js';

const isKeying = ({ paperHours }) => paperHours?.screen === 'keying' && !paperHours.told && !paperHours.form;

/** Alt+U takes the last row that stands back, on paper as in a list. */
export function undoLastShortcut(state) {
  if (!state.paperHours) return undoShortcut(state);
  const last = isKeying(state) && rowsOf(state).findLast((row) => !row.undone);
  return last && undoEvent(last, performance.now());
}

export const pageShortcut = (state) => isKeying(state) && { type: 'hours-page-wanted' };

/** A card scanned while something else has the focus goes into the box. */
export function strayOverHours(event, state) {
  const box = isKeying(state) && document.querySelector('[data-focus="keying-box"]');
  if (!box || !isForBoxNow(event) || event.target.closest('.answers, .ask')) return;
  box.focus({ preventScroll: true });
  box.select();
}
