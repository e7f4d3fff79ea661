/** Stands in for as much of `node:assert/strict` as the tests of the logic use. */

const text = (value) => JSON.stringify(value, (_, each) => (each === undefined ? 'undefined' : each));

function must(holds, told) {
  if (!holds) throw new Error(told);
}

const isObject = (value) => typeof value === 'object' && value !== null;

/** As Node compares: the same kind, the same own keys (one that is undefined counts), all alike. */
function alike(one, other) {
  if (!isObject(one) || !isObject(other)) return Object.is(one, other);
  if (Object.getPrototypeOf(one) !== Object.getPrototypeOf(other)) return false;
  if (one instanceof Set || one instanceof Map) return alike([...one], [...other]);
  if (one instanceof Date || one instanceof RegExp) return String(one) === String(other);
  const keys = Object.keys(one);
  const isSameShape = keys.length === Object.keys(other).length;
  return isSameShape && keys.every((key) => Object.hasOwn(other, key) && alike(one[key], other[key]));
}

function isExpected(error, expected) {
  if (expected === undefined) return true;
  if (expected instanceof RegExp) return expected.test(String(error));
  if (typeof expected === 'function') return error instanceof expected;
  return Object.entries(expected).every(([key, value]) => alike(error[key], value));
}

function thrown(error, expected) {
  must(error, 'nothing was thrown');
  must(isExpected(error.was, expected), `another error was thrown: ${error.was}`);
}

export default {
  ok: (value, told) => must(value, told ?? `${text(value)} is not true`),
  equal: (one, other, told) => must(Object.is(one, other), told ?? `${text(one)} is not ${text(other)}`),
  deepEqual: (one, other, told) => must(alike(one, other), told ?? `${text(one)} is not ${text(other)}`),
  match: (one, pattern) => must(pattern.test(one), `${one} does not match ${pattern}`),
  doesNotMatch: (one, pattern) => must(!pattern.test(one), `${one} matches ${pattern}`),
  throws(work, expected) {
    let error;
    try {
      work();
    } catch (was) {
      error = { was };
    }
    thrown(error, expected);
  },
  async rejects(promise, expected) {
    let error;
    try {
      await (typeof promise === 'function' ? promise() : promise);
    } catch (was) {
      error = { was };
    }
    thrown(error, expected);
  },
};
