/**
 * The small finder inside a screen: a text, and the lines that the newest question found. Pure.
 */

export const emptySeek = () => ({ text: '', asked: 0, answered: 0, matches: [], fits: 0, problem: null });

export function soughtText(seek, text) {
  const asked = seek.asked + 1;
  const isBlank = text.trim() === '';
  return { ...seek, text, asked, problem: null, ...(isBlank && { answered: asked, matches: [], fits: 0 }) };
}

/** The answer to question number `asked`; one that is not the newest is dropped. */
export function soughtCame(seek, { asked, answer, problem }) {
  if (asked !== seek.asked) return seek;
  if (!answer) return { ...seek, problem };
  return { ...seek, answered: asked, matches: answer.matches, fits: answer.fits, problem: null };
}

export const isSoughtInVain = (seek) =>
  seek.text.trim() !== '' && seek.answered === seek.asked && !seek.matches.length && !seek.problem;
