import assert from 'node:assert/strict';
import { test } from 'node:test';

test('wrong 1', () => assert.equal(1, '1'));
test('wrong 2', () => assert.deepEqual({ a: undefined }, {}));
test('wrong 3', () => assert.deepEqual([1, [2, { b: 3 }]], [1, [2, { b: 4 }]]));
test('wrong 4', () => assert.throws(() => null, /never/));
test('wrong 5', () => assert.rejects(Promise.resolve(1)));
test('wrong 6', () => assert.doesNotMatch('abc', /b/));
test('wrong 7', () => assert.ok(0));
test('right', () => assert.deepEqual(new Map([['a', [1]]]), new Map([['a', [1]]])));
