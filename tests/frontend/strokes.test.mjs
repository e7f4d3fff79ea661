import assert from 'node:assert/strict';
import { test } from 'node:test';

import {
  begun,
  continued,
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
