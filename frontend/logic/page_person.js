/** One row of a supplemental page as it is keyed: its fields in the order of the page. Pure. */

import { buttonsOf } from './form_fields.js';

const text = (name, most, label) => ({ name, kind: 'text', most, label });
const tick = (name, label) => ({ name, kind: 'tick', label });

const BLANK = {
  voter_number: '', last_name: '', first_name: '', middle_name: '', suffix: '', birth_date: '',
  address_protected: false, street_address: '', city: '', postal_code: '', party: '',
  ballot_button: null, assistance: false, address_confirmation: false,
};

/** `twice`: the row that is the same, and the question whether the page has it twice. */
export const freshPerson = () => ({ values: BLANK, problems: {}, problem: null, twice: null });

/** `label` is the key of its words. Of a protected address nothing is asked. */
export const personFields = (values, day) => [
  text('voter_number', 20, 'finder.number'),
  text('last_name', 80, 'form.last_name'),
  text('first_name', 80, 'form.first_name'),
  text('middle_name', 80, 'form.middle_name'),
  text('suffix', 20, 'form.suffix'),
  text('birth_date', 40, 'form.birth_date'),
  tick('address_protected', 'form.address_protected'),
  ...(values.address_protected ? [] : address()),
  text('party', 80, 'page.party'),
  ...(buttonsOf(day).length ? [{ name: 'ballot_button', kind: 'choice', choices: buttonsOf(day), label: 'form.ballot_button' }] : []),
  tick('assistance', 'page.assistance'),
  tick('address_confirmation', 'page.address_confirmation'),
];

const address = () => [
  text('street_address', 120, 'form.street_address'),
  text('city', 80, 'form.city'),
  text('postal_code', 20, 'form.postal_code'),
];

/** Whether something is typed that would be lost. */
export const hasPersonDraft = (keying) =>
  Boolean(keying?.person) && Object.values(keying.person.values).some((value) => (typeof value === 'string' ? value.trim() : value));

const trimmed = (values) =>
  Object.fromEntries(Object.entries(values).map(([name, value]) => [name, typeof value === 'string' ? value.trim() : value]));

export function personBody(values, isTwice) {
  const said = trimmed(values);
  const none = said.address_protected && { street_address: '', city: '', postal_code: '' };
  return { ...said, ...none, twice: isTwice };
}

export const personName = ({ last_name: last, first_name: first }) =>
  [last, first].map((part) => part.trim()).filter(Boolean).join(', ');

/** What is known of a row that cannot be read whole; null where not even that is. */
export function unreadableBody(values) {
  const body = { number: values.voter_number.trim(), name: personName(values) };
  return body.number || body.name ? body : null;
}
