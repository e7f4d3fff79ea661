/**
 * The calls that authorise an affidavit and that nobody has signed for: which is meant, and
 * what of the form it fills in. Pure.
 *
 * The office gives a name and a year of birth, so how the name divides is a guess: the
 * worker sees it in the fields and compares. What was typed by hand is never replaced.
 */

import { announce, focusOn } from './attention.js';
import { formKind, withWay } from './way_state.js';

/** The answer that none of the calls is meant. */
export const BY_HAND = 0;

const YEAR = /\b(?:18|19|20)\d\d\b/g;
const SUFFIX = /^(?:jr|sr|ii|iii|iv)\.?$/i;
const PARTICLE = /^(?:de|del|la|las|los|da|dos|di|du|van|von|der|den|al|el|st\.?)$/i;
const BORN = /\b(?:born|nacid[oa])\b/gi;

/** `Odette Ann Pell 1980` as the parts of a name and a year; what is not said is blank. */
export function personOf(text) {
  const born = text.match(YEAR)?.at(-1) ?? '';
  const words = text.replace(YEAR, ' ').replace(BORN, ' ').replace(/[();]/g, ' ').trim().replace(/[\s,]+$/, '');
  const [last, given] = words.split(/\s*,\s*/);
  return { born, ...(given ? turned(last, given) : spoken(words.split(/\s+/).filter(Boolean))) };
}

const turned = (last, given) => {
  const [first = '', ...middle] = given.split(/\s+/);
  return { last_name: last, first_name: first, middle_name: middle.join(' '), suffix: '' };
};

function spoken(words) {
  const suffix = words.length > 2 && SUFFIX.test(words.at(-1)) ? words.at(-1) : '';
  const name = suffix ? words.slice(0, -1) : words;
  let begins = Math.max(name.length - 1, 0);
  while (begins > 1 && PARTICLE.test(name[begins - 1])) begins -= 1;
  const [first = '', ...middle] = name.slice(0, begins);
  return { last_name: name.slice(begins).join(' '), first_name: first, middle_name: middle.join(' '), suffix };
}

const folded = (text) => text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().match(/\p{L}+/gu) ?? [];

/** Whether first and last name stand in what was spelled at the table. */
function fits({ person }, typed) {
  const { first_name: first, last_name: last } = personOf(person);
  const spelled = new Set(folded(typed));
  const named = folded(`${first} ${last}`);
  return named.length > 1 && named.every((word) => spelled.has(word));
}

export const authorisationOf = ({ authorisations }, seq) =>
  authorisations.find((each) => each.seq === seq) ?? null;

const withAffidavit = (state, changes) => {
  const { forms } = state.way;
  return withWay(state, { forms: { ...forms, affidavit: { ...forms.affidavit, ...changes } } });
};

const FILLED = ['authorised_by', 'authorised_how', 'last_name', 'first_name', 'middle_name', 'suffix'];

function filling(authorisation) {
  if (!authorisation) return {};
  return { ...personOf(authorisation.person), authorised_by: authorisation.caller, authorised_how: 'phone' };
}

const isBlank = (value) => value === null || value === '';

/** The call `seq` is chosen, or none of them: what the one before filled in goes again. */
export function authorisationChosen(state, seq) {
  const form = state.way.forms.affidavit;
  const told = filling(authorisationOf(state.way, seq));
  const before = form.filled ?? {};
  const free = FILLED.filter((name) => isBlank(form.values[name]) || form.values[name] === before[name]);
  const filled = Object.fromEntries(
    free.map((name) => [name, told[name] ?? (name === 'authorised_how' ? null : '')]),
  );
  return withAffidavit(state, {
    values: { ...form.values, ...filled, authorisation_seq: seq },
    filled,
    problems: {},
    alreadyOn: null,
    isTouched: true,
  });
}

/** Chosen beforehand only where exactly one call names the person that was spelled. */
export function chosenBeforehand(state) {
  const { way } = state;
  const form = way.forms.affidavit;
  if (form.isTouched || form.values.authorisation_seq !== null) return state;
  const fitting = way.authorisations.filter((each) => fits(each, way.typed || (way.line?.name ?? '')));
  if (fitting.length !== 1) return state;
  return withAffidavit(authorisationChosen(state, fitting[0].seq), { isTouched: false });
}

/** The calls as they stand now; one used at another table meanwhile is no longer chosen. */
function came(state, { authorisations }) {
  const isFirst = !state.way.authorisations.length && authorisations.length > 0;
  const next = withWay(state, { authorisations });
  const form = next.way.forms.affidavit;
  if (!form) return next;
  const { authorisation_seq: seq } = form.values;
  if (seq && !authorisationOf(next.way, seq)) return taken(next);
  if (formKind(next.way) !== 'affidavit' || form.isTouched || !isFirst) return next;
  return focusOn(chosenBeforehand(next), 'form-authorisation_seq');
}

function taken(state) {
  const form = state.way.forms.affidavit;
  const free = withAffidavit(state, {
    values: { ...form.values, authorisation_seq: null },
    stage: 'fields',
    problems: { authorised_by: 'authorisation-used' },
  });
  if (formKind(free.way) !== 'affidavit') return free;
  return focusOn(announce(free, 'lack.authorisation-used', {}, true), 'form-authorised_by');
}

const OF_THEM = /^(phone_in\.recorded|line\.added)$/;

/** Whether an entry of the day log may have made or used one, while a way is open. */
export const touchesAuthorisations = ({ way, pending }, entry) =>
  Boolean(way) && !pending && OF_THEM.test(entry.kind);

export const authorisationEvents = {
  'authorisations-came': (state, event) => (state.way ? came(state, event) : state),
};
