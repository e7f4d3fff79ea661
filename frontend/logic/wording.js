/**
 * From a key of `words/` and its facts to a sentence. Pure; Intl alone knows languages.
 *
 * A template holds `{fact}`. A part in `[[ ]]` is left out when one of its facts
 * is missing. A template may be a table of plural forms, chosen by the fact `n`.
 */

const FACT = /\{(\w+)\}/g;
const OPTIONAL = /\[\[(.*?)\]\]/g;
// `07:00:00` is shown without its seconds: nobody at a table counts them.
const CLOCK = /^(\d\d:\d\d):\d\d$/;
const isMissing = (fact) => fact === undefined || fact === null || fact === '';

/** `{ finder: { label: … } }` as `finder.label` -> template. */
const flat = (words) =>
  Object.entries(words).flatMap(([section, templates]) =>
    Object.entries(templates).map(([name, template]) => [`${section}.${name}`, template]),
  );

/** `say(key, facts)` for one language. A key without words throws: better found in a test. */
export function sayIn(words, language) {
  const templates = new Map(flat(words));
  const numbers = new Intl.NumberFormat(language);
  const plurals = new Intl.PluralRules(language);
  const lists = new Intl.ListFormat(language);

  const shown = (fact) => {
    if (typeof fact === 'number') return numbers.format(fact);
    return Array.isArray(fact) ? lists.format(fact.map(shown)) : String(fact).replace(CLOCK, '$1');
  };
  const filled = (text, facts) =>
    text.replace(FACT, (_, name) => (isMissing(facts[name]) ? '' : shown(facts[name])));
  const chosen = (template, facts) =>
    typeof template === 'string'
      ? template
      : (template[plurals.select(Number(facts.n))] ?? template.other);

  function say(key, facts = {}) {
    if (!say.has(key)) throw new Error(`no words for ${key}`);
    const kept = chosen(templates.get(key), facts).replace(OPTIONAL, (_, part) =>
      [...part.matchAll(FACT)].some(([, name]) => isMissing(facts[name])) ? '' : part,
    );
    return filled(kept, facts);
  }
  say.has = (key) => templates.has(key);
  say.language = language;
  return say;
}

/** `2027-03-02` as a full date; text that is no such date comes back as it is. */
export function dateWords(isoDate, language, style = 'full') {
  const moment = new Date(`${isoDate}T00:00:00Z`);
  if (Number.isNaN(moment.getTime())) return isoDate ?? '';
  return new Intl.DateTimeFormat(language, { dateStyle: style, timeZone: 'UTC' }).format(moment);
}

/** `09:14` at the polling place for an instant, as the record and the papers write it. */
export const timeWords = (instant, timeZone) =>
  new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', timeZone }).format(
    new Date(instant),
  );
