/**
 * The one box and the lines that fit what stands in it. Pure.
 *
 * `asked` counts the questions sent; an answer to any but the newest is dropped, and
 * Enter never opens a line of an older answer: that would be another person's line.
 * Where several lines fit equally none is `highlighted` until the worker chooses one.
 * `opening` is the line to be opened now, `lostAt` when Enter found nobody: the acts follow both.
 */

import { announce, focusOn } from './attention.js';
import { leftUnrecorded } from './sheet.js';

// Nobody types two characters this close together; a scanner always does.
export const BURST_MS = 45;
// Stands in the box for a line break inside a scanned card, which a one-line box cannot hold.
export const LINE_BREAK = '\u240a';
// The longest scanned card has a few hundred characters; a stuck key has more.
const LONGEST = 2000;

// How the server names what a scanned card says and no line does; never the card's own words.
const DECISIVE = new Set(['birth date', 'last name']);

export const emptySearch = () => ({
  text: '',
  asked: 0,
  answered: 0,
  matches: [],
  ignored: [],
  fits: 0,
  askFor: null,
  highlighted: null,
  mustChoose: false,
  isEntering: false,
  isBurst: false,
  isHeld: false,
  lastKeyAt: -Infinity,
  isRefresh: false,
  opening: null,
  lostAt: null,
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
    { ...leftUnrecorded(state), confirmation: null },
    {
      text: text.slice(0, LONGEST),
      asked,
      isBurst: at - search.lastKeyAt < BURST_MS,
      isHeld: false,
      isEntering: false,
      isRefresh: false,
      mustChoose: false,
      lastKeyAt: at,
      opening: null,
      problem: null,
      ...(isBlank && { answered: asked, matches: [], ignored: [], fits: 0, askFor: null, highlighted: null }),
    },
  );
}

/** The same question again, because something happened to a line in sight. */
const askedAgain = (state) =>
  withSearch(state, { asked: state.search.asked + 1, isRefresh: isAnswered(state.search) });

/** Where the highlighted line is now, if the same question was asked again. */
function keptPlace({ isRefresh, matches, highlighted }, answer) {
  const kept = isRefresh && matches[highlighted]?.line_id;
  const place = answer.matches.findIndex((match) => match.line_id === kept);
  return place < 0 ? null : place;
}

function found(state, { asked, answer }) {
  const { search } = state;
  if (asked !== search.asked) return state;
  // Lines that fit less well may follow the one that is meant. A scanned card whose birth
  // date or last name is on no line is more likely a namesake's: nobody's line opens by itself.
  const isDoubtful = answer.ignored.some((each) => DECISIVE.has(each));
  const isOneMeant = answer.fits === 1 && answer.matches.length > 0 && !isDoubtful;
  return withSearch(state, {
    answered: asked,
    matches: answer.matches,
    ignored: answer.ignored,
    fits: answer.fits,
    askFor: answer.ask_for ?? null,
    highlighted: keptPlace(search, answer) ?? (isOneMeant ? 0 : null),
    mustChoose: search.isEntering && answer.fits > 1,
    isEntering: false,
    isRefresh: false,
    opening: search.isEntering && isOneMeant ? answer.matches[0].line_id : null,
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
  const from = highlighted ?? (by > 0 ? -1 : 0);
  const place = (from + by + matches.length) % matches.length;
  return withSearch(state, { highlighted: place, mustChoose: false });
}

/** Enter inside a burst may be a line break of a scanned card: it waits for `burst-ended`. */
function enterPressed(state, { at, repeat }) {
  const { search } = state;
  if (repeat || state.sheet || !hasText(search)) return state;
  if (at - search.lastKeyAt >= BURST_MS) return entered(state, at);
  return withSearch(state, { text: search.text + LINE_BREAK, isHeld: true, lastKeyAt: at });
}

/** No key came after the Enter that was held: it was the last key of the scan. */
function burstEnded(state) {
  const { search } = state;
  if (!search.isHeld) return state;
  let { text } = search;
  while (text.endsWith(LINE_BREAK)) text = text.slice(0, -LINE_BREAK.length);
  return entered(withSearch(state, { text, isHeld: false }), search.lastKeyAt);
}

function entered(state, at) {
  const { search } = state;
  if (!isAnswered(search)) return withSearch(state, { isEntering: true });
  const chosen = search.matches[search.highlighted];
  if (chosen) return withSearch(state, { opening: chosen.line_id });
  if (search.matches.length) return fitsTold(withSearch(state, { mustChoose: true }));
  return isNothingFound(search) ? withSearch(state, { lostAt: at }) : state;
}

/** The newest answer is that no line fits. */
export const isNothingFound = (search) =>
  hasText(search) && isAnswered(search) && !search.matches.length && !search.problem;

const escaped = (state) =>
  focusOn(
    withSearch(
      { ...state, confirmation: null, notice: null },
      { ...emptySearch(), asked: state.search.asked + 1, answered: state.search.asked + 1 },
    ),
    'box',
  );

const rowChosen = (state, { lineId }) => withSearch(state, { opening: lineId });

/** Alt and the digit of a line in sight. Never of an older answer, and never inside a scan. */
function digitPressed(state, { place, at, repeat }) {
  const { search } = state;
  const isInBurst = search.isHeld || at - search.lastKeyAt < BURST_MS;
  if (repeat || isInBurst || state.sheet || !isAnswered(search) || !search.matches[place]) return state;
  return withSearch(state, { opening: search.matches[place].line_id });
}

/** How many fit, as a key and its facts. Lines that fit less well may follow those that fit. */
export function countWords({ fits, matches, mustChoose }) {
  const shown = matches.length;
  const facts = { n: fits, shown };
  if (!shown) return ['finder.nothing', facts];
  if (mustChoose) return ['finder.choose', facts];
  if (fits > shown) return ['finder.more', facts];
  return [fits < shown ? 'finder.best' : 'finder.fits', facts];
}

/** How many fit is said aloud once the newest answer is on the page. */
function fitsTold(state) {
  const [key, facts] = countWords(state.search);
  return announce(state, key, facts);
}

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
  'digit-pressed': digitPressed,
  'fits-told': fitsTold,
};
