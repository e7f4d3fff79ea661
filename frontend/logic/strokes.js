/**
 * A signature as numbers: strokes of [x, y, ms], x and y whole numbers from 0 to
 * 10000 over a box four times as wide as high, ms since the first touch. Pure.
 */

export const RANGE = 10000;
// A hand draws far fewer; more means that something rests on the pad. The server takes
// 3000 points in 200 strokes, and times up to ten minutes.
export const MOST_POINTS = 2900;
export const MOST_STROKES = 200;
export const LONGEST_MS = 600_000;
// Closer than this nothing can be seen, but the record would grow: about half a pixel.
const NEAREST = 8;

const within = (value) => Math.min(RANGE, Math.max(0, Math.round(value)));

/** A touch at (`x`, `y`) in a pad of `width` by `height`, `ms` after the first touch. */
export const scaledPoint = ({ x, y, ms }, { width, height }) => [
  within((x / width) * RANGE),
  within((y / height) * RANGE),
  Math.min(LONGEST_MS, Math.max(0, Math.round(ms))),
];

export const countPoints = (strokes) =>
  strokes.reduce((total, stroke) => total + stroke.length, 0);

const isNear = ([x, y], [nextX, nextY]) =>
  Math.abs(x - nextX) < NEAREST && Math.abs(y - nextY) < NEAREST;

/** The strokes with a new one begun at `point`, while there is room beside the `taken` points. */
export const begun = (strokes, point, taken = 0) =>
  countPoints(strokes) + taken < MOST_POINTS && strokes.length < MOST_STROKES
    ? [...strokes, [point]]
    : strokes;

/** The strokes with `point` added to the last one, unless it adds nothing to see. */
export function continued(strokes, point, taken = 0) {
  const last = strokes.at(-1);
  if (!last || countPoints(strokes) + taken >= MOST_POINTS || isNear(last.at(-1), point)) return strokes;
  return [...strokes.slice(0, -1), [...last, point]];
}

const between = ([x, y], [nextX, nextY]) => [(x + nextX) / 2, (y + nextY) / 2];

/**
 * What the point at `place` adds to the pen line: a curve `from` one place `to` another, drawn
 * `by` the point before. The line goes through the middle between two points, so that it
 * has no corners, and ends half a step behind the pen until `endOf` closes it.
 */
export function pieceAt(stroke, place) {
  const point = stroke[place];
  if (place === 0) return { from: point, by: point, to: point };
  const by = stroke[place - 1];
  return { from: place > 1 ? between(stroke[place - 2], by) : by, by, to: between(by, point) };
}

/** The last half step, once the pen is lifted. */
export function endOf(stroke) {
  const last = stroke.at(-1);
  return { from: stroke.length > 1 ? between(stroke.at(-2), last) : last, by: last, to: last };
}

// A pad is four times as wide as high.
const WIDTH = 4;
// In heights of the pad. A dot or a slip of the pen is shorter; the shortest initial is longer.
const SHORTEST = 0.5;

/** How far the pen went on the pad, in heights of the pad. */
export const travel = (strokes) =>
  strokes.reduce((sum, stroke) => sum + stroke.slice(1).reduce((way, point, place) => way + step(stroke[place], point), 0), 0);

const step = ([x, y], [nextX, nextY]) => Math.hypot((nextX - x) * WIDTH, nextY - y) / RANGE;

/** Something is drawn, but hardly anything: somebody should look before it is recorded. */
export const isVeryShort = (strokes) => strokes.length > 0 && travel(strokes) < SHORTEST;

/** How somebody signed, as it is sent: strokes go along only where something was drawn. */
export const howSigned = (strokes) =>
  strokes.length ? { how: 'drawn', strokes } : { how: 'paper', strokes: null };
