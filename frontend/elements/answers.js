/**
 * The answers to a question: buttons, one under the other, chosen with the arrows or by
 * their number. A number moves the focus and presses nothing: a scan is full of them. Where
 * the box stands on the page there are no numbers: there they begin the next voter's.
 */

import { button } from './controls.js';
import { h } from './paint.js';

/** Each of `list`: `words`, `press(event)`, a `key`, and whether it is the one `isMain`. */
export const answers = (list, { isBusy = false, isNumbered = true } = {}) =>
  h(
    'ol',
    { class: 'answers', key: 'answers' },
    list.filter(Boolean).map(({ key, words, press, isMain, focus, code }, place) =>
      h(
        'li',
        { key: key ?? code },
        button(
          [
            isNumbered && h('span', { class: 'digit', 'aria-hidden': 'true' }, String(place + 1)),
            h('span', { class: 'words' }, words),
          ],
          press,
          {
            look: isMain ? 'answer main' : 'answer',
            isBusy,
            focus,
            'aria-keyshortcuts': isNumbered ? String(place + 1) : null,
          },
        ),
      ),
    ),
  );

const STEPS_OF_KEY = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 };
// From these the arrows go to the answers; in a field they move the caret or choose.
const FROM = '.step, .answers, #next, #verdict, .ask';

const isModified = (event) => event.ctrlKey || event.altKey || event.metaKey;

/** From the question to its answers and among them, as Tab does; or straight to a number. */
export function moveAmongAnswers(event) {
  const { target, currentTarget, key } = event;
  if (isModified(event)) return;
  const all = [...currentTarget.querySelectorAll('.step button, .answers button')];
  const isInField = target.matches('input, textarea, summary');
  if (!all.length) return;
  const place = isInField ? leftField(event, all) : placeOf(event, all);
  if (place === null || !all[place]) return;
  event.preventDefault();
  all[place].focus();
  all[place].scrollIntoView({ block: 'nearest' });
}

/** Out of a one-line field only downwards, to the first answer. Choices keep their arrows. */
const leftField = ({ key, target }) =>
  key === 'ArrowDown' && target.matches('input.leads-on') ? 0 : null;

function placeOf({ key, target }, all) {
  if (/^[1-9]$/.test(key)) {
    const place = all.findIndex((each) => each.querySelector('.digit')?.textContent === key);
    return place < 0 ? null : place;
  }
  const by = STEPS_OF_KEY[key];
  if (!by || !target.closest(FROM)) return null;
  const at = all.indexOf(target.closest('button'));
  if (at < 0) return by > 0 ? 0 : all.length - 1;
  return (at + by + all.length) % all.length;
}
