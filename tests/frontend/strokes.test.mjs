import assert from 'node:assert/strict';
import { test } from 'node:test';

import {
  begun,
  continued,
  endOf,
  isVeryShort,
  pieceAt,
  travel,
  countPoints,
  LONGEST_MS,
  MOST_POINTS,
  MOST_STROKES,
  scaledPoint,
} from '../../frontend/logic/strokes.js';

const PAD = { width: 640, height: 160 };

test('the corners of the pad are 0 and 10000, whatever its size', () => {
  assert.deepEqual(scaledPoint({ x: 0, y: 0, ms: 0 }, PAD), [0, 0, 0]);
  assert.deepEqual(scaledPoint({ x: 640, y: 160, ms: 12.6 }, PAD), [10000, 10000, 13]);
  assert.deepEqual(scaledPoint({ x: 150, y: 10, ms: 0 }, { width: 300, height: 75 }), [5000, 1333, 0]);
});

test('a finger that slips over the edge stays on the edge', () => {
  assert.deepEqual(scaledPoint({ x: -20, y: 900, ms: 5 }, PAD), [0, 10000, 5]);
});

test('a signature left half made for an hour can still be sent', () => {
  assert.equal(scaledPoint({ x: 0, y: 0, ms: 3_600_000 }, PAD)[2], LONGEST_MS);
  let strokes = [];
  for (let n = 0; n < MOST_STROKES + 5; n += 1) strokes = begun(strokes, [n, n, n]);
  assert.equal(strokes.length, MOST_STROKES);
});

test('every number is whole', () => {
  const point = scaledPoint({ x: 33.3, y: 44.4, ms: 7.7 }, PAD);
  assert.ok(point.every(Number.isInteger));
});

test('a point that adds nothing to see is not kept', () => {
  const strokes = begun([], [100, 100, 0]);
  assert.equal(continued(strokes, [102, 103, 4]), strokes);
  assert.deepEqual(continued(strokes, [200, 100, 4]), [[[100, 100, 0], [200, 100, 4]]]);
});

test('strokes handed out before are never changed', () => {
  const before = Object.freeze([Object.freeze([Object.freeze([0, 0, 0])])]);
  assert.equal(countPoints(continued(before, [500, 500, 9])), 2);
  assert.equal(countPoints(begun(before, [900, 900, 20])), 2);
  assert.equal(countPoints(before), 1);
});

test('something that rests on the pad does not fill the record', () => {
  let strokes = begun([], [0, 0, 0]);
  for (let n = 1; n < MOST_POINTS + 500; n += 1) strokes = continued(strokes, [(n * 50) % 10000, n % 9000, n]);
  assert.equal(countPoints(strokes), MOST_POINTS);
  assert.equal(countPoints(begun(strokes, [1, 1, 1])), MOST_POINTS);
});

test('the pen line goes through the middle between two points and has no corner', () => {
  const stroke = [[0, 0, 0], [1000, 0, 8], [1000, 1000, 16], [2000, 1000, 24]];
  const pieces = stroke.map((_, place) => pieceAt(stroke, place));
  // Each piece begins where the one before ends, the last one ends at the pen.
  for (const [place, piece] of pieces.slice(1).entries()) {
    const end = pieces[place].to;
    assert.deepEqual(piece.from, [end[0], end[1]].concat(piece.from.slice(2)));
  }
  assert.deepEqual(pieces[2], { from: [500, 0], by: stroke[1], to: [1000, 500] });
  assert.deepEqual(endOf(stroke), { from: [1500, 1000], by: stroke[3], to: stroke[3] });
});

test('a dot is a piece of no length', () => {
  const dot = [[500, 500, 0]];
  assert.deepEqual(pieceAt(dot, 0), { from: dot[0], by: dot[0], to: dot[0] });
  assert.deepEqual(endOf(dot), { from: dot[0], by: dot[0], to: dot[0] });
});

test('a dot and a slip of the pen are very short, an initial is not, and nothing is not', () => {
  assert.equal(isVeryShort([]), false);
  assert.equal(isVeryShort([[[500, 500, 0]]]), true);
  assert.equal(isVeryShort([[[500, 500, 0], [900, 2000, 40]]]), true);
  // As high as two thirds of the pad.
  assert.equal(isVeryShort([[[500, 1000, 0], [500, 7600, 90]]]), false);
  // Half the way of a pad across is twice its height.
  assert.equal(Math.round(travel([[[0, 0, 0], [5000, 0, 9]]]) * 100), 200);
});

test('two pads of one record share its room', () => {
  assert.deepEqual(begun([], [1, 1, 1], MOST_POINTS), []);
  const full = [[[0, 0, 0]]];
  assert.equal(continued(full, [900, 900, 9], MOST_POINTS - 1), full);
});
