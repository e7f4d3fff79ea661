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

/** The strokes with a new one begun at `point`. */
export const begun = (strokes, point) =>
  countPoints(strokes) < MOST_POINTS && strokes.length < MOST_STROKES
    ? [...strokes, [point]]
    : strokes;

/** The strokes with `point` added to the last one, unless it adds nothing to see. */
export function continued(strokes, point) {
  const last = strokes.at(-1);
  if (!last || countPoints(strokes) >= MOST_POINTS || isNear(last.at(-1), point)) return strokes;
  return [...strokes.slice(0, -1), [...last, point]];
}

/** How somebody signed, as it is sent: strokes go along only where something was drawn. */
export const howSigned = (strokes) =>
  strokes.length ? { how: 'drawn', strokes } : { how: 'paper', strokes: null };
