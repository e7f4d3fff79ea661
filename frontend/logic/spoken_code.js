/**
 * The code that the registrar's office reads out: seven symbols and a check symbol. Pure.
 *
 * A misheard symbol is told before anything is sent. The alphabet and the check symbol are
 * Crockford's Base 32 (www.crockford.com/base32.html); the server judges everything else.
 */

const SYMBOLS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const CHECK_SYMBOLS = `${SYMBOLS}*~$=U`;
const CODE_SYMBOLS = 8;

/** In capitals, without spaces and hyphens; I and L are 1, O is 0. */
export const plainCode = (text) =>
  text
    .toUpperCase()
    .replace(/[\s\p{Pd}]/gu, '')
    .replace(/[IL]/g, '1')
    .replace(/O/g, '0');

/** `7KQ2-MX0D`, as it is read out. */
export const groupedCode = (text) =>
  plainCode(text)
    .replace(/(.{4})(?=.)/g, '$1-');

/** What is wrong with a code as typed: a code of `problem.` in the words, or null. */
export function codeFault(text) {
  const symbols = plainCode(text);
  const body = [...symbols.slice(0, -1)].map((symbol) => SYMBOLS.indexOf(symbol));
  const check = CHECK_SYMBOLS.indexOf(symbols.at(-1) ?? '');
  if (symbols.length !== CODE_SYMBOLS || body.includes(-1) || check < 0) return 'code-unreadable';
  // Seven symbols are 35 bits: below what a number holds exactly.
  const number = body.reduce((sum, value) => sum * SYMBOLS.length + value, 0);
  return number % CHECK_SYMBOLS.length === check ? null : 'code-misheard';
}
