/** The questions of the way, each with what helps to answer it. The rules say which comes. */

import { isNobodyElsewhere } from '../logic/elsewhere.js';
import { answers } from './answers.js';
import { problemBox } from './controls.js';
import { textField } from './fields.js';
import { h } from './paint.js';

export function question(state, say, send, ask) {
  const { question: asked } = state.way;
  const own = QUESTIONS[asked.code]?.(state, say, send) ?? {};
  return [
    ask(own.ask ?? say(`question.${asked.code}`, asked.facts)),
    own.help,
    answers([...(own.before ?? []), ...given(state, say, send), ...(own.after ?? [])], {
      isBusy: state.way.isBusy,
    }),
  ];
}

/** The answers that the rules know, in their order. */
const given = ({ way }, say, send) =>
  way.question.answers.map((value) => ({
    key: String(value),
    words: say(`answer.${way.question.field}-${value}`),
    press: (event) =>
      send({ type: 'way-answered', field: way.question.field, value, at: event.timeStamp }),
  }));

const QUESTIONS = {
  'spelled-otherwise': spelledOtherwise,
  'supplemental-pages': (state, say, send) => ({
    before: [{ key: 'there', words: say('way.on-a-page'), press: () => send({ type: 'box-wanted' }) }],
    help: h('p', { class: 'next' }, say('way.page-help')),
  }),
  'where-registered': whereRegistered,
  'goes-there': goesThere,
  'registrar-called': ({ way }, say) => ({
    help: phone(way.question.facts, say),
  }),
};

/** Lines that fit what is spelled now: opening one ends the way. */
function spelledOtherwise({ way }, say, send) {
  const spelled = (event) => send({ type: 'way-spelled', text: event.target.value });
  return {
    help: textField(
      say('way.spelled'),
      { id: 'way-typed', value: way.typed, most: 200, isPlain: true, leadsOn: true, hint: say('way.spelled-hint') },
      { input: spelled },
    ),
    before: way.suggestions.map((match) => ({
      key: match.line_id,
      words: [
        h('span', { class: 'name' }, say('way.open-line', { name: match.name })),
        h('span', { class: 'more' }, match.address_protected ? say('note.protected') : match.address),
      ],
      press: () => send({ type: 'look-alike-opened', lineId: match.line_id, name: match.name }),
    })),
  };
}

/** The list of the other precincts, where the package brought one. */
function whereRegistered({ way, day }, say, send) {
  const { elsewhere } = way;
  if (!day.has_elsewhere) return { help: h('p', { class: 'next' }, say('way.no-list')) };
  return {
    help: [
      textField(
        say('way.elsewhere'),
        { id: 'elsewhere-text', value: elsewhere.text, most: 200, isPlain: true, leadsOn: true, hint: say('way.elsewhere-hint') },
        { input: (event) => send({ type: 'elsewhere-typed', text: event.target.value }) },
      ),
      problemBox(say, elsewhere.problem, { isKept: false }),
      h(
        'p',
        { class: 'hint', role: 'status' },
        isNobodyElsewhere(elsewhere) ? say('way.nobody-elsewhere') : say('way.compare-year'),
      ),
    ],
    before: elsewhere.people.map((person) => ({
      key: person.elsewhere_id,
      words: [
        h('span', { class: 'name' }, say('way.born', { name: person.name, year: String(person.born) })),
        h('span', { class: 'more' }, placeWords(person, say)),
      ],
      press: (event) => send({ type: 'person-chosen', person, at: event.timeStamp }),
    })),
  };
}

export const placeWords = (place, say) =>
  say('way.place', { place: place.polling_place, address: place.place_address, precinct: place.precinct });

/** Where the person belongs, to be read out; a place that the registrar named is typed. */
function goesThere({ way }, say, send) {
  if (!way.elsewhere.chosen) {
    return { help: [h('p', { class: 'next' }, say('way.name-place')), placeFields(way, say, send)] };
  }
  return { help: placeBox(way.place, say) };
}

export const placeBox = (place, say) =>
  h(
    'p',
    { class: 'large-fact', key: 'place' },
    h('strong', null, place.polling_place),
    h('span', null, place.place_address),
    h('span', null, say('way.precinct', { precinct: place.precinct })),
  );

const MOST = { precinct: 80, polling_place: 80, place_address: 200 };

export const placeFields = (way, say, send) =>
  Object.keys(MOST).map((name) =>
    textField(
      say(`form.${name}`),
      {
        id: `way-${name}`,
        value: way.place[name],
        most: MOST[name],
        problem: way.problems[name] && say(`lack.${way.problems[name]}`),
        leadsOn: true,
      },
      { input: (event) => send({ type: 'place-typed', field: name, text: event.target.value }) },
    ),
  );

/** Office and number, to be read from a step away with the telephone in the hand. */
export const phone = ({ office, phone: number }, say) =>
  h(
    'p',
    { class: 'large-fact', key: 'phone' },
    h('span', null, office),
    h('strong', { class: 'phone' }, number || say('way.no-number')),
  );
