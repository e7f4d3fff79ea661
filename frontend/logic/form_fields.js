/**
 * The two papers filled in at the table: their fields in the order one asks for them, what
 * each must hold, and what goes to the server. Pure.
 *
 * A field: `name`, `kind` (text, choice or tick), `isNeeded`, `most` characters, `choices`,
 * and `label` where its name alone does not say what to ask.
 */

import { BY_HAND, personOf } from './authorisations.js';

const text = (name, most, isNeeded = false) => ({ name, kind: 'text', most, isNeeded });
const choice = (name, choices) => ({ name, kind: 'choice', choices, isNeeded: true });
const tick = (name) => ({ name, kind: 'tick', isNeeded: false });

/** The ballot buttons of the precinct; none where one ballot serves all. */
export const buttonsOf = (day) =>
  (day.ballots ?? []).filter((each) => each.button !== null).map((each) => each.button);

const address = (values, isProtected = false) => {
  if (isProtected) return [];
  if (values.address_protected) return [tick('address_protected')];
  return [
    tick('address_protected'),
    text('street_address', 120, true),
    text('city', 80),
    text('postal_code', 20),
  ];
};

const ballot = (day) =>
  buttonsOf(day).length ? [choice('ballot_button', buttonsOf(day))] : [];

const affidavit = (values, day, { calls, born }) => [
  ...(calls.length ? [{ ...choice('authorisation_seq', calls), isNeeded: false }] : []),
  text('authorised_by', 80, true),
  choice('authorised_how', ['phone', 'in_person', 'writing']),
  text('last_name', 80, true),
  text('first_name', 80),
  text('middle_name', 80),
  text('suffix', 20),
  { ...text('birth_date', 40, true), hint: day.policy?.date_order ?? 'month_first', born },
  ...address(values),
  text('voter_number', 20),
  ...ballot(day),
];

// Reasons that no verdict gives: what stands behind them is written down.
const NEEDS_NOTE = new Set(['challenged', 'step-not-done']);

const provisional = (values, day, { reason, isProtected }) => [
  ...(NEEDS_NOTE.has(reason) ? [{ ...text('note', 400, true), label: `note-${reason}` }] : []),
  text('name', 120, true),
  ...address(values, isProtected),
  ...ballot(day),
  text('envelope', 20, true),
];

const FIELDS = { affidavit, provisional };

/** The calls to choose from, the answer that none is meant last; the year that the chosen one gave. */
function authorising({ authorisations = [], forms }) {
  const chosen = authorisations.find((each) => each.seq === forms?.affidavit?.values.authorisation_seq);
  const calls = authorisations.length ? [...authorisations.map((each) => each.seq), BY_HAND] : [];
  return { calls, born: chosen ? personOf(chosen.person).born : '' };
}

/** What is known of this person already and need not be typed; `way` is the whole path. */
export const circumstances = (way) => ({
  reason: provisionalReason(way),
  isProtected: Boolean(way.line?.details.address_protected),
  ...authorising(way),
});

export const fieldsOf = (kind, values, day, way) => FIELDS[kind](values, day, circumstances(way));

const naturalName = ({ first_name, middle_name, last_name, suffix }) =>
  [first_name, middle_name, last_name, suffix].filter(Boolean).join(' ');

/** What stands in the fields at first: of an open line what is printed on it. */
export function firstValues(kind, way) {
  const line = way.line?.details;
  const empty = { address_protected: false, street_address: '', city: '', postal_code: '' };
  const own = line && {
    address_protected: Boolean(line.address_protected),
    street_address: line.street_address,
    city: line.city,
    postal_code: line.postal_code,
    ballot_button: line.ballot_button,
  };
  if (kind === 'provisional') {
    const name = line ? naturalName(line) : '';
    return { note: '', name, ...empty, ballot_button: null, envelope: '', ...own };
  }
  const asked = { authorisation_seq: null, authorised_by: '', authorised_how: null, voter_number: '', birth_date: '' };
  const name = { last_name: '', first_name: '', middle_name: '', suffix: '' };
  const printed = line && Object.fromEntries(Object.keys(name).map((part) => [part, line[part]]));
  return { ...asked, ...name, ...printed, ...empty, ballot_button: null, somebody_else: false, ...own };
}

const isBlank = (value) => value === null || value === undefined || String(value).trim() === '';
// As the envelopes are numbered.
const ENVELOPE = /^[A-Za-z0-9-]{1,20}$/;

/** `{ field: code }` of everything that is missing or cannot be so, in the order of the fields. */
export function lacksOf(fields, values) {
  const lacks = {};
  for (const { name, isNeeded } of fields) {
    if (isNeeded && isBlank(values[name])) lacks[name] = name;
    else if (name === 'envelope' && !ENVELOPE.test(values[name].trim())) lacks[name] = 'envelope-plain';
  }
  return lacks;
}

/** Why this person votes provisionally, as a code of the rules. */
export function provisionalReason(way) {
  const option = way.options.find((each) => each.code === 'provisional-ballot');
  if (way.line) return way.line.reasons[0];
  if (option?.facts.ballot_class === 'extended_hours') return 'extended-hours';
  const { elsewhere, registrar } = way.situation;
  const isElsewhere = elsewhere === 'yes' || registrar === 'elsewhere';
  return isElsewhere ? 'registered-elsewhere' : 'not-on-a-list';
}

const trimmed = (values, names) =>
  Object.fromEntries(names.map((name) => [name, (values[name] ?? '').trim()]));

const ADDRESS = ['street_address', 'city', 'postal_code'];
const NO_ADDRESS = { street_address: '', city: '', postal_code: '' };
const addressIn = (values, isProtected) =>
  isProtected || values.address_protected ? NO_ADDRESS : trimmed(values, ADDRESS);

/** What is sent of an affidavit, without the signature. */
export function affidavitBody(way, form) {
  const { values } = form;
  return {
    ...trimmed(values, ['last_name', 'first_name', 'middle_name', 'suffix', 'birth_date']),
    ...addressIn(values),
    ...trimmed(values, ['voter_number', 'authorised_by']),
    address_protected: values.address_protected,
    ballot_button: values.ballot_button,
    authorised_how: values.authorised_how,
    authorisation_seq: values.authorisation_seq || null,
    somebody_else: values.somebody_else,
    evidence: {
      ...form.evidence,
      birth_date: values.birth_date.trim(),
      in_line_at_cut_off: form.evidence.in_line_at_cut_off ?? way.situation.in_line_at_cut_off,
    },
  };
}

/** What is sent of a provisional ballot, without the signature. */
export function provisionalBody(way, { values, evidence }) {
  const { isProtected } = circumstances(way);
  const said = { ...(way.line?.evidence ?? {}), ...evidence };
  return {
    line_id: way.line?.lineId ?? null,
    situation: way.situation,
    reason: provisionalReason(way),
    ...trimmed(values, ['note', 'name', 'envelope']),
    ...addressIn(values, isProtected),
    address_protected: isProtected || values.address_protected,
    ballot_button: values.ballot_button,
    // Over the signature the paper says that they are registered and eligible.
    affirmed: true,
    evidence: {
      ...said,
      in_line_at_cut_off: said.in_line_at_cut_off ?? way.situation.in_line_at_cut_off,
    },
  };
}
