/** The words of every language that was spoken here, as far as they were needed. */

import { sayIn } from './logic/wording.js';

export const LOCALE = { en: 'en-US', es: 'es-US' };

/** `getWords(language, part)` promises the words of one part; it fails where they cannot be had. */
export function vocabulary(getWords) {
  const words = {};
  const sayings = {};

  const knows = (language, part) => Object.hasOwn(words[language] ?? {}, part);

  return {
    knows,

    async learn(language, part) {
      const sections = await getWords(language, part);
      words[language] = { ...words[language], [part]: sections };
      sayings[language] = sayIn(Object.assign({}, ...Object.values(words[language])), LOCALE[language]);
    },

    /** `say` of one language, with the words of every part that was learned in it. */
    sayingsIn: (language) => sayings[language],
  };
}
