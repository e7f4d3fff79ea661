/**
 * The one box and the lines that fit what stands in it. Pure.
 *
 * `asked` counts the questions sent; an answer to any but the newest is dropped, and
 * Enter never opens a line of an older answer: that would be another person's line.
 */

import { announce, focusOn } from './attention.js';

// Nobody types two characters this close together; a scanner always does.
export const BURST_MS = 45;
// Stands in the box for a line break inside a scanned card, which a one-line box cannot hold.
export const LINE_BREAK = '\u240a';
// The longest scanned card has a few hundred characters; a stuck key has more.
const LONGEST = 2000;

export const emptySearch = () => ({
  text: '',
  asked: 0,
  answered: 0,
  matches: [],
  ignored: [],
  fits: 0,
  highlighted: 0,
  isEntering: false,
  isBurst: false,
  isHeld: false,
  lastKeyAt: -Infinity,
  isRefresh: false,
  opening: null,
  problem: null,
});

export const boxText = (pasted) => pasted.replace(/\r\n|\r|\n/g, LINE_BREAK).slice(0, LONGEST);
export const textToSend = (search) => search.text.replaceAll(LINE_BREAK, '\n');
export const isAnswered = (search) => search.answered === search.asked;
export const hasText = (search) => search.text.trim() !== '';

const withSearch = (state, changes) => ({ ...state, search: { ...state.search, ...changes } });

function typed(state, { text, at }) {
  const { search } = state;
  const isBlank = text.trim() === '';
  const asked = search.asked + 1;
  return withSearch(
    { ...state, sheet: null, confirmation: null, notice: null },
    {
      text: text.slice(0, LONGEST),
      asked,
      isBurst: at - search.lastKeyAt < BURST_MS,
      isHeld: false,
      isEntering: false,
      isRefresh: false,
      lastKeyAt: at,
      opening: null,
      problem: null,
      ...(isBlank && { answered: asked, matches: [], ignored: [], fits: 0, highlighted: 0 }),
    },
  );
}

/** The same question again, because something happened to a line in sight. */
const askedAgain = (state) =>
  withSearch(state, { asked: state.search.asked + 1, isRefresh: isAnswered(state.search) });

function found(state, { asked, answer }) {
  const { search } = state;
  if (asked !== search.asked) return state;
  const kept = search.matches[search.highlighted]?.line_id;
  const place = answer.matches.findIndex((match) => match.line_id === kept);
  // Lines that fit less well may follow the one that is meant.
  const isOnlyOne = search.isEntering && answer.fits === 1 && answer.matches.length > 0;
  return withSearch(state, {
    answered: asked,
    matches: answer.matches,
    ignored: answer.ignored,
    fits: answer.fits,
    highlighted: search.isRefresh && place > 0 ? place : 0,
    isEntering: false,
    isRefresh: false,
    opening: isOnlyOne ? answer.matches[0].line_id : null,
    problem: null,
  });
}

const notFound = (state, { asked, problem }) =>
  asked === state.search.asked
    ? withSearch(state, { isEntering: false, isRefresh: false, problem: problem ?? null })
    : state;

function highlightMoved(state, { by }) {
  const { matches, highlighted } = state.search;
  if (!matches.length || state.sheet) return state;
  const place = (highlighted + by + matches.length) % matches.length;
  return withSearch(state, { highlighted: place });
}

/** Enter inside a burst may be a line break of a scanned card: it waits for `burst-ended`. */
function enterPressed(state, { at, repeat }) {
  const { search } = state;
  if (repeat || state.sheet || !hasText(search)) return state;
  if (at - search.lastKeyAt >= BURST_MS) return entered(state);
  return withSearch(state, { text: search.text + LINE_BREAK, isHeld: true, lastKeyAt: at });
}

/** No key came after the Enter that was held: it was the last key of the scan. */
function burstEnded(state) {
  const { search } = state;
  if (!search.isHeld) return state;
  let { text } = search;
  while (text.endsWith(LINE_BREAK)) text = text.slice(0, -LINE_BREAK.length);
  return entered(withSearch(state, { text, isHeld: false }));
}

function entered(state) {
  const { search } = state;
  if (!isAnswered(search)) return withSearch(state, { isEntering: true });
  return withSearch(state, { opening: search.matches[search.highlighted]?.line_id ?? null });
}

const escaped = (state) =>
  focusOn(
    withSearch(
      { ...state, confirmation: null },
      { ...emptySearch(), asked: state.search.asked + 1, answered: state.search.asked + 1 },
    ),
    'box',
  );

const rowChosen = (state, { lineId }) => withSearch(state, { opening: lineId });

/** How many fit is said aloud once the newest answer is on the page. */
const fitsTold = (state) =>
  announce(state, state.search.fits ? 'finder.fits' : 'finder.nothing', {
    n: state.search.fits,
    shown: state.search.matches.length,
  });

export const searchEvents = {
  typed,
  'asked-again': askedAgain,
  found,
  'not-found': notFound,
  'highlight-moved': highlightMoved,
  'enter-pressed': enterPressed,
  'burst-ended': burstEnded,
  'box-cleared': escaped,
  'row-chosen': rowChosen,
  'fits-told': fitsTold,
};
