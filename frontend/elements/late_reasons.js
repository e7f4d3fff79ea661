/** Why a row of a list waits, and what in it could not be read, in the worker's language. */

/** A code that this page does not know keeps the server's own sentence. */
export const faultWords = ({ code, sentence }, say) => (say.has(`fault.${code}`) ? say(`fault.${code}`) : sentence);

export const reasonWords = (each, say) => (say.has(`row.${each.code}`) ? say(`row.${each.code}`) : faultWords(each, say));
