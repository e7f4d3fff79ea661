/** Keys on the screens of late lists that whatever has the focus has no use for. */

import { lastCounting } from '../logic/keying.js';
import { hasPersonDraft } from '../logic/page_person.js';
import { undoEvent } from './keying.js';
import { isForBoxNow } from './keys.js';

/** Alt+U takes the last keyed row back. */
export function undoShortcut({ late }) {
  const last = late?.screen === 'keying' && lastCounting(late.keying);
  return last && undoEvent(last);
}

/** A name typed, or a card scanned, while something else has the focus goes into the one box. */
export function strayOverLate(event, { late: { screen, keying } }) {
  const box = screen === 'keying' && !hasPersonDraft(keying) && document.querySelector('[data-focus="keying-box"]');
  if (!box || !isForBoxNow(event)) return;
  // A digit on an answer chooses it: see elements/answers.js.
  if (event.target.closest('.answers') && /^[1-9]$/.test(event.key)) return;
  box.focus({ preventScroll: true });
  box.select();
}
