/**
 * Brings the parts of the page when they are first needed, each once, and holds back the
 * events that wait for one.
 *
 * An event that waits is sent on as soon as its part is here, in the order in which it came;
 * where the part cannot be had it is dropped and told, and the next one asks again.
 */

/**
 * `parts`: see parts.js. `isHere(name)` says whether a part is on the page, `bring(name)` promises
 * that it will be. `sendOn(event, state)` gets each event again, with the state that it was
 * sent in; `tellMissing(error)` is called once for all the events that waited in vain.
 */
export function onDemand(parts, { isHere, bring, sendOn, tellMissing }) {
  const coming = new Map();
  let waiting = [];

  const missingFor = ({ type }) =>
    Object.keys(parts).find((name) => !isHere(name) && parts[name].opensWith.includes(type));

  /** The same fetch for everybody who asks while it is on its way. */
  function fetched(name) {
    if (!coming.has(name)) coming.set(name, bringWithNeeds(name).finally(() => coming.delete(name)));
    return coming.get(name);
  }

  async function bringWithNeeds(name) {
    for (const needed of parts[name].needs) {
      if (!isHere(needed)) await fetched(needed);
    }
    await bring(name);
  }

  function release() {
    while (waiting.length && isHere(waiting[0].part)) {
      const { event, state } = waiting.shift();
      sendOn(event, state);
    }
  }

  function drop(name, error) {
    const kept = waiting.filter(({ part }) => part !== name);
    const isInVain = kept.length < waiting.length;
    waiting = kept;
    if (isInVain) tellMissing(error);
    release();
  }

  return {
    isWaiting: () => waiting.length > 0,

    /** Fetches a part before anybody asks for it; whoever asks meanwhile waits for the same fetch. */
    prepare(name) {
      if (!isHere(name)) fetched(name).then(release, (error) => drop(name, error));
    },

    /** Whether this event has to wait for its part, which is fetched now. */
    holds(event, state) {
      const part = missingFor(event);
      if (!part) return false;
      waiting.push({ event, state, part });
      fetched(part).then(release, (error) => drop(part, error));
      return true;
    },
  };
}
