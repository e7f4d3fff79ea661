/** What a key pressed anywhere on the page may be meant for: see logic/stray_keys.js. */

import { isForBox } from '../logic/stray_keys.js';

// A character made with AltGr counts as Ctrl and Alt on some keyboards.
const isModified = (event) =>
  (event.ctrlKey || event.altKey || event.metaKey) && !event.getModifierState('AltGraph');
const isInField = (event) => event.target.matches('input, textarea');

/**
 * While a screen is awaited nothing is typed or pressed: it was meant for what is coming, and
 * would be the beginning of the next voter's name.
 */
export const swallowKeys = (isAwaited) =>
  document.addEventListener(
    'keydown',
    (event) => {
      if (!isAwaited() || (event.key !== 'Enter' && [...event.key].length > 1)) return;
      event.preventDefault();
      event.stopPropagation();
    },
    { capture: true },
  );

/** Calls `active` at every key and touch; a key that `isKept` counts and does nothing else. */
export function noteActivity(isKept, active) {
  const note = (event) => {
    if (isKept(event.key)) {
      event.preventDefault();
      event.stopPropagation();
    }
    active();
  };
  for (const type of ['keydown', 'pointerdown']) document.addEventListener(type, note, { capture: true });
}

/** Which line Alt and a digit mean, on either half of the keyboard, from 0; null for any other key. */
export function placeOfDigit({ code, altKey, ctrlKey, metaKey }) {
  const [, digit] = /^(?:Digit|Numpad)([1-9])$/.exec(code) ?? [];
  return digit && altKey && !ctrlKey && !metaKey ? Number(digit) - 1 : null;
}

/** Whether a key that nothing else has a use for belongs into a box. */
export const isForBoxNow = (event) =>
  isForBox({ key: event.key, isModified: isModified(event), isInField: isInField(event) });
