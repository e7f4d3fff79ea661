/**
 * How a way ends: what must be filled in for it, what goes to the server, and the facts of
 * the one sentence that says what will be written down. Pure.
 */

import { affidavitBody, provisionalBody, provisionalReason } from './form_fields.js';
import { NOTHING_ASKED, optionNow } from './way_state.js';

// What the log calls the ways of a person who leaves the table without a ballot.
const WAY_OF_ENDING = {
  'direct-elsewhere': 'elsewhere',
  'registration-form': 'registration_form',
  'write-down-why': 'left',
};

export const isDirecting = (code) => Object.hasOwn(WAY_OF_ENDING, code);

/** Whether a provisional ballot must be offered before this ending is written down. */
export const isOfferDue = (way) =>
  ['registration-form', 'write-down-why'].includes(way.ending) &&
  Boolean(optionNow(way, 'provisional-ballot')) &&
  way.isDeclined === null;

const NOTHING_TOLD = { birth_date: null, identification: null, in_line_at_cut_off: null };

/** `{ field: code }` of what is missing before the ending can be written down. */
export function endingLacks({ ending, place, elsewhere, reason }) {
  if (ending === 'write-down-why' && !reason.trim()) return { reason: 'reason' };
  if (ending !== 'direct-elsewhere' || elsewhere.chosen) return {};
  const needed = ['precinct', 'polling_place'].filter((name) => !place[name].trim());
  return Object.fromEntries(needed.map((name) => [name, name]));
}

const trimmedPlace = (place) =>
  Object.fromEntries(Object.entries(place).map(([name, text]) => [name, text.trim()]));

export function directedBody(way) {
  const { elsewhere, ending, line } = way;
  const isElsewhere = ending === 'direct-elsewhere';
  return {
    way: WAY_OF_ENDING[ending],
    elsewhere_id: (isElsewhere && elsewhere.chosen?.elsewhere_id) || null,
    place: isElsewhere && !elsewhere.chosen ? trimmedPlace(way.place) : null,
    line_id: line?.lineId ?? null,
    situation: line ? NOTHING_ASKED : way.situation,
    evidence: line?.evidence ?? {
      ...NOTHING_TOLD,
      in_line_at_cut_off: way.situation.in_line_at_cut_off,
    },
    // On a line, or in the list of the other precincts, the name stands there.
    name: line || (isElsewhere && elsewhere.chosen) ? '' : way.name.trim(),
    reason: way.reason.trim(),
    provisional_declined: way.isDeclined === true,
  };
}

const nameOf = ({ line, elsewhere, name }) => line?.name || elsewhere.chosen?.name || name.trim();

/** The facts of `written.<ending>`: the sentence shown before the last confirmation. */
export const directedFacts = (way, worker) => ({
  name: nameOf(way),
  place: way.place.polling_place.trim(),
  precinct: way.place.precinct.trim(),
  reason: way.reason.trim(),
  initials: worker.initials,
});

const given = ({ first_name, middle_name, last_name, suffix }) =>
  [first_name, middle_name, last_name, suffix].map((part) => part.trim()).filter(Boolean).join(' ');

export const affidavitFacts = ({ values, strokes }, worker) => ({
  name: given(values),
  by: values.authorised_by.trim(),
  how: values.authorised_how,
  button: values.ballot_button,
  signed: strokes.length ? 'drawn' : 'paper',
  initials: worker.initials,
});

export const provisionalFacts = (way, { values, strokes }, worker) => ({
  name: values.name.trim(),
  envelope: values.envelope.trim(),
  button: values.ballot_button,
  reason: provisionalReason(way),
  signed: strokes.length ? 'drawn' : 'paper',
  initials: worker.initials,
});

export { affidavitBody, provisionalBody };
