/** Stands in for `node:test` where the tests of the logic run in a browser: keeps, then runs them. */

const kept = [];

// Node has it, a browser has not.
globalThis.setImmediate ??= (work) => setTimeout(work);

export function test(name, work) {
  kept.push({ name, work });
}

/** Runs what was kept, in order; how many there were, and of each that failed its name and why. */
export async function runKept() {
  const failed = [];
  for (const { name, work } of kept) {
    try {
      await work();
    } catch (error) {
      failed.push(`${name}: ${error.stack ?? error}`);
    }
  }
  return { count: kept.length, failed };
}

export default test;
