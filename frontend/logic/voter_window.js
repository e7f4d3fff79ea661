/**
 * What the voter's window may show of the page, and what the page takes from it. Pure.
 *
 * It shows a line only while that line may be signed: never before people who look alike are
 * told apart, and nothing any more once the rules stop it or something lies over it.
 */

import { openSlots } from './layers.js';
import { isCovered } from './lock.js';
import { addressOf, maySign } from './sheet.js';
import { LONGEST_MS, MOST_POINTS, MOST_STROKES, RANGE } from './strokes.js';

export const LANGUAGES = ['en', 'es'];

// What the voter signs where the package says nothing: the only text we can translate.
export const USUAL_AFFIRMATION =
  'I am the person named here, and I have not voted in this election.';

/** A text of the package's own is prescribed by somebody and is shown as it came. */
export const affirmationWords = (say, text) =>
  !text || text === USUAL_AFFIRMATION ? say('voter.affirmation') : text;

/** Whether the open line is for the voter's eyes now. */
export const isForVoter = (state) =>
  state.view === 'table' &&
  !isCovered(state) &&
  Boolean(state.voter?.isOpen && state.sheet?.line) &&
  maySign(state.sheet) &&
  !state.sheet.witness &&
  openSlots(state).length === 0;

export const voterLanguage = (state) => state.voter?.language ?? state.language;

/**
 * What the voter's window shows: `nobody`, or a line. `sayings` by language are the words of the
 * languages that can be had; `turn` tells this voter from the one before.
 */
export function shownToVoter(state, sayings) {
  const say = sayings[voterLanguage(state)];
  if (!say || !isForVoter(state)) return { what: 'nobody', waiting: waitingIn(sayings), practice: practiceIn(state, sayings) };
  const { line, name, strokes } = state.sheet;
  const { turn, heard, isDone } = state.voter;
  return {
    what: 'line',
    turn,
    heard,
    language: voterLanguage(state),
    languages: languagesIn(sayings),
    name,
    address: line.address_protected ? '' : addressOf(line),
    affirmation: affirmationWords(say, state.day.policy?.voter_affirmation),
    strokes,
    isDone: isDone && strokes.length > 0,
    isFixed: Boolean(state.pending),
    waiting: waitingIn(sayings),
    practice: practiceIn(state, sayings),
    words: wordsOf(say),
  };
}

/** The calm page of nobody, in every language: it goes along with a line, for when that is gone. */
const waitingIn = (sayings) =>
  Object.entries(sayings).map(([language, say]) => ({ language, words: say('voter.wait') }));

/** On a practice day: that nothing counts, in every language. Null on a real one. */
const practiceIn = ({ day }, sayings) =>
  day?.practice
    ? Object.entries(sayings).map(([language, say]) => ({ language, words: say('voter.practice') }))
    : null;

const languagesIn = (sayings) =>
  Object.entries(sayings).map(([language, say]) => ({ language, words: say('voter.own-name') }));

const wordsOf = (say) => ({
  notYou: say('voter.not-you'),
  how: say('voter.how'),
  pad: say('voter.pad'),
  redo: say('voter.redo'),
  done: say('voter.done'),
  thanks: say('voter.thanks'),
  language: say('voter.language'),
});

const isWithin = (value, most) => Number.isInteger(value) && value >= 0 && value <= most;

const isPoint = (point) =>
  Array.isArray(point) &&
  point.length === 3 &&
  isWithin(point[0], RANGE) &&
  isWithin(point[1], RANGE) &&
  isWithin(point[2], LONGEST_MS);

/** Whether what came is a drawing that a pad of ours can have made. */
export const areStrokes = (strokes) =>
  Array.isArray(strokes) &&
  strokes.length <= MOST_STROKES &&
  strokes.every((stroke) => Array.isArray(stroke) && stroke.length > 0 && stroke.every(isPoint)) &&
  strokes.flat().length <= MOST_POINTS;

/** Whether a message of the voter's window is about the line that stands there now. */
export const isOfThisTurn = (state, message) =>
  isForVoter(state) && !state.pending && message.turn === state.voter.turn;
