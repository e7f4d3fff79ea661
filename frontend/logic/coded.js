/**
 * From the codes that the rules and the server send to sentences in the worker's
 * language. A code that this page does not know yet keeps the server's own sentence. Pure.
 */

// The caution that stands in a package which brings none: the only one we can translate.
export const USUAL_CAUTION =
  'Local law and the registrar decide. Nobody is sent away without an answer.';

const known = (say, family, code) => {
  const key = `${family}.${code}`;
  return say.has(key) ? key : null;
};

/** The codes of other reasons, and names of lists, stand in some facts: they get words too. */
function factsInWords(say, facts = {}) {
  const source = known(say, 'source', facts.source);
  const codes = facts.codes?.map((code) => say(known(say, 'short', code) ?? 'short.other'));
  return {
    ...facts,
    ...(source && { source: say(source) }),
    ...(codes && { codes }),
    ...(facts.look_alikes !== undefined && { n: facts.look_alikes }),
    ...(facts.first_time_by_mail && { must: say('steps.must-show') }),
  };
}

/** The sentence of a reason, step or option: `family` is one of these three words. */
export function sentenceOf(say, family, { code, facts, sentence }) {
  const key = known(say, family, code);
  return key ? say(key, factsInWords(say, facts)) : (sentence ?? code);
}

/** What a step asks for: an address that is new or protected is asked for otherwise. */
export function stepWords(say, step) {
  const { moved, protected: isProtected } = step.facts ?? {};
  if (step.code !== 'affirm-address') return sentenceOf(say, 'step', step);
  if (moved === 'within') return say('step.affirm-new-address');
  return isProtected ? say('step.affirm-protected-address') : sentenceOf(say, 'step', step);
}

// What to do about a problem, and the problems for which that is so.
const REMEDIES = [
  [
    'remedy.ask-lead',
    ['not-allowed', 'day-not-loaded', 'wrong-host', 'wrong-origin'],
  ],
  ['remedy.unlock', ['pin-locked', 'pin-locked-now']],
  [
    'remedy.fill-in',
    [
      'initials-missing',
      'pin-missing',
      'station-missing',
      'birth-date-missing',
      'reason-missing',
      'reference-missing',
      'what-missing',
      'how-missing',
      'number-missing',
    ],
  ],
  ['remedy.choose', ['why-missing', 'kind-missing']],
  ['remedy.say-again', ['code-misheard', 'code-unreadable']],
  ['remedy.new-code', ['code-used-already', 'code-wrong', 'code-missing']],
  ['remedy.call-back', ['code-locked']],
  ['remedy.read-again', ['read-back-differs']],
  ['remedy.other-file', ['list-unreadable']],
  ['remedy.other-laptop', ['read-only-standby']],
  ['remedy.nothing-to-do', ['no-standby', 'list-applied-already', 'nothing-to-settle', 'list-finished', 'list-dropped']],
  ['remedy.as-time', ['until-missing']],
  ['remedy.other-way', ['not-provided-for', 'ordinary-ballot-due', 'already-on-a-line']],
  ['remedy.offer-first', ['provisional-not-offered']],
  ['remedy.name-station', ['station-like-pin']],
  ['remedy.use-paper', ['unreachable', 'storage-refused', 'outcome-unknown']],
  ['remedy.sign-on', ['session-ended', 'not-signed-on']],
  [
    'remedy.look-at-line',
    ['session-ended-unsure', 'unexpected', 'token-reused', 'nothing-to-withdraw', 'nothing-to-record', 'line-in-use'],
  ],
  ['remedy.do-step', ['step-missing']],
  ['remedy.date-in-numbers', ['birth-date-unreadable']],
];

/** `{ title, next }` of a problem body: what is wrong, and what to do about it. */
export function problemWords(say, problem) {
  const { detail, what_to_do: whatToDo, verdict, ...facts } = problem;
  const code = codeToTell(problem);
  const reason = known(say, 'reason', code);
  if (reason) return { title: say(reason, factsInWords(say, facts)), next: '' };
  const title = known(say, 'problem', code);
  if (!title) return { title: detail ?? say('problem.unknown'), next: whatToDo ?? '' };
  const remedy = REMEDIES.find(([, codes]) => codes.includes(code))?.[0] ?? 'remedy.try-again';
  return { title: say(title, { n: facts.tries_left, ...facts }), next: say(remedy) };
}

/** The wrong PIN that used up the last try is told as what it did. */
const codeToTell = ({ code, tries_left: left }) =>
  code === 'wrong-pin' && left === 0 ? 'pin-locked-now' : code;

/** A caution of the package's own is the registrar's wording and is shown as it came. */
export const cautionWords = (say, caution) =>
  !caution || caution === USUAL_CAUTION ? say('sheet.caution') : caution;

// The documents that stand in a package which names none: the only ones we can translate.
const USUAL_KINDS = {
  'a current card with a photograph': 'kind.card',
  'a utility bill, bank statement, pay slip or government paper with name and address': 'kind.paper',
};

/** The documents that count, in the worker's language where they are the usual ones. */
export const kindsWords = (say, kinds) =>
  kinds.map((kind) => (USUAL_KINDS[kind] ? say(USUAL_KINDS[kind]) : kind));

/** The words that say why a line was found, by code where we know it. */
export const whyWords = (say, { why = [], why_codes: codes = [] }) =>
  // The server's own words are English and say more: they quote what was typed.
  why.map((words, place) =>
    say.language.startsWith('en') ? words : (whyInWords(say, codes[place] ?? '') ?? words),
  );

/** `last-sounds` is a field of the line and how it fits; other codes have words of their own. */
function whyInWords(say, code) {
  const whole = known(say, 'why', code);
  if (whole) return say(whole);
  const [, field, likeness] = /^(last-part|last|first|middle|maiden)-(.+)$/.exec(code) ?? [];
  const fits = known(say, 'like', likeness);
  return fits && say(fits, { field: say(`field.${field}`) });
}

/** What an entry of the day log did to a line, as a few words. */
export function kindWords(say, entry) {
  const { how, mark } = (entry.kind === 'signature.recorded' && entry.body) || {};
  if (how === 'mark') return say(mark === 'none' ? 'entry.by-no-mark' : 'entry.by-mark', entry.body);
  return say(known(say, 'entry', entry.kind) ?? 'entry.other', entry);
}
