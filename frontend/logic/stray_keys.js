/**
 * Which keys belong in the box although something else has the focus. Pure.
 *
 * The next name may be typed, or the next card scanned, at any moment: swallowed, its
 * Enter would press whatever has the focus, and that may sign the voter before.
 */

// The first half of an accented letter: the letter itself comes with the next key.
const HALF_LETTER = 'Dead';

/**
 * `isModified`: Ctrl, Alt or Meta is held (but not the AltGr that makes a character).
 * `isInField`: the focus is where text can be typed. Space presses a focused button, or
 * scrolls, and no name begins with it.
 */
export const isForBox = ({ key, isModified, isInField }) =>
  !isInField && !isModified && key !== ' ' && (key === HALF_LETTER || [...key].length === 1);
