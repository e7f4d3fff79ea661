/** What is doubted about a counter, a seal or a check, in the worker's language. */

/** Counters are read out digit by digit: no separators. Codes among the facts get words. */
export function factsInWords(facts, say) {
  const words = Object.entries(facts ?? {}).map(([name, fact]) => [name, KEY_OF[name] ? codeWords(KEY_OF[name], fact, say) : plainly(fact)]);
  return { ...Object.fromEntries(words), n: facts?.count ?? facts?.signed_after ?? facts?.votes ?? 0 };
}

const plainly = (fact) => (typeof fact === 'number' ? String(fact) : Array.isArray(fact) ? fact.filter((each) => typeof each !== 'object').map(String) : fact);

/** The facts that hold codes, and the words of each. */
const KEY_OF = {
  of: (code) => `seal-of.${code}`,
  what: (code) => `zero.${code}`,
  counter: (code) => `counter.${code}`,
  list_kind: (code) => `list-kind.${code}`,
};

function codeWords(keyOf, fact, say) {
  const one = (code) => (say.has(keyOf(code)) ? say(keyOf(code)) : code);
  return Array.isArray(fact) ? fact.map(one) : one(fact);
}

/** A doubt or a flag in words; one that this page does not know keeps the server's. */
export const doubtWords = ({ code, sentence, facts }, say) =>
  say.has(`doubt.${code}`) ? say(`doubt.${code}`, factsInWords(facts, say)) : sentence;
