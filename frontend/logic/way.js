/**
 * The way of a person whom no line fits, or whose line cannot be signed: one question at a
 * time, then what can be done, then one ending. Pure.
 *
 * The rules ask and offer (POST /api/ways-out, or the options of a verdict); this page keeps
 * what was answered and typed until the way is left. Nothing is recorded before an ending
 * is confirmed. Back takes one step; leaving with something typed is asked about first.
 */

import { announce, focusOn } from './attention.js';
import { isTurn } from './day.js';
import { asPlace, elsewhereEvents, freshElsewhere, NOWHERE } from './elsewhere.js';
import { endingLacks, isOfferDue } from './ending.js';
import { freshGuard, sheetChanged } from './enter_guard.js';
import { formOpened, formRefused, hasDraft, toFields } from './form.js';
import { stopLeft, wayStopped } from './stopped.js';
import { formNow, isCard, NOTHING_ASKED, withWay } from './way_state.js';

const typedOrScanned = (text) => (isCard(text) ? { scanned: text } : { typed: text });

const freshWay = ({ line = null, typed = '', scanned = '', at }) => ({
  openedAt: at,
  line,
  // Whether it began with an ending of its own: then Back leads out of it.
  isDirect: false,
  typed,
  scanned,
  situation: NOTHING_ASKED,
  // The fields answered, in order: Back takes the last one away.
  answered: [],
  question: null,
  options: [],
  suggestions: [],
  caution: '',
  ending: null,
  // Whether a provisional ballot was offered and the person declined it; null is not asked yet.
  isDeclined: null,
  elsewhere: freshElsewhere(typed),
  place: NOWHERE,
  name: '',
  reason: '',
  forms: { affidavit: null, provisional: null },
  // The calls that authorise an affidavit and that nobody has signed for.
  authorisations: [],
  // What happened to the line elsewhere, if that stopped what is open here.
  stopped: null,
  isHalted: false,
  problems: {},
  problem: null,
  asked: 0,
  // Whether the rules are to be asked: the controller does and says so.
  isDue: false,
  isBusy: false,
  isLeaving: false,
  guard: freshGuard(at),
});

const QUESTION_WITH_FIELD = { 'spelled-otherwise': 'way-typed', 'where-registered': 'elsewhere-text' };

/** Where the next one thing is. Of a question answered by a button it is the question. */
function nextPlace({ way: { question, elsewhere }, day }) {
  if (question?.code === 'where-registered' && !day.has_elsewhere) return 'way';
  if (question?.code === 'goes-there' && !elsewhere.chosen) return 'way-precinct';
  return QUESTION_WITH_FIELD[question?.code] ?? 'way';
}

/** Where an ending begins: with its first field, or with its sentence. */
function endingPlace(way) {
  if (isOfferDue(way)) return 'way';
  if (way.ending === 'write-down-why') return 'way-reason';
  const isPlaceDue = way.ending === 'direct-elsewhere' && !way.elsewhere.chosen;
  return isPlaceDue ? 'way-precinct' : 'way';
}

/** No line fits, or none of those that do is this person's. */
const lostOpened = (state, { at }) =>
  focusOn(
    {
      ...state,
      confirmation: null,
      notice: null,
      way: { ...freshWay({ ...typedOrScanned(state.search.text.trim()), at }), isDue: true, isBusy: true },
    },
    'way',
  );

/**
 * What the person of the open line may still do: straight to the ending `code`, or, without
 * one, what is left where a step cannot be done. `because` is a reason that no verdict gives.
 */
function lineWayOpened(state, { code = null, at, because = null }) {
  const { sheet } = state;
  if (!sheet?.line || !sheet.verdict) return state;
  const { verdict, line, lineId, name, evidence } = sheet;
  const reasons = because ? [because] : verdict.reasons.map((reason) => reason.code);
  const way = {
    ...freshWay({ line: { lineId, name, evidence, reasons, details: line }, at }),
    isDirect: code !== null,
    options: optionsOf(verdict, code, because),
    caution: verdict.caution,
    ending: code,
  };
  return formOpened(focusOn({ ...state, way }, endingPlace(way)));
}

function optionsOf(verdict, code, because) {
  if (!code) return verdict.if_not_done;
  return because ? [{ code, facts: {} }] : verdict.options;
}

function asked(state) {
  return withWay(state, { asked: state.way.asked + 1, isDue: false });
}

function came(state, { asked: number, answer, at }) {
  const { way } = state;
  if (!way || number !== way.asked) return state;
  const isSame =
    way.question?.code === answer.question?.code &&
    JSON.stringify(way.options) === JSON.stringify(answer.options);
  const next = withWay(state, {
    question: answer.question,
    options: answer.options,
    suggestions: answer.suggestions ?? [],
    caution: answer.caution,
    isBusy: false,
    problem: null,
    ...(!isSame && { ending: null, guard: sheetChanged(way.guard, at) }),
  });
  // While a name is being spelled the same question comes again and again: the caret stays.
  if (isSame) return next;
  const told = next.way.question ? 'way.said-question' : 'way.said-options';
  return focusOn(announce(next, told), nextPlace(next));
}

function failed(state, { asked: number, problem }) {
  if (!state.way || number !== state.way.asked) return state;
  return withWay(state, { isBusy: false, problem });
}

/** The answer goes into the situation, and the rules say what is next. */
function answered(state, { field, value }) {
  const { way } = state;
  return withWay(state, {
    situation: { ...way.situation, [field]: value },
    answered: [...way.answered.filter((each) => each !== field), field],
    isDue: true,
    isBusy: true,
  });
}

/** The person has been found in the list of the other precincts. */
function personChosen(state, { person }) {
  const chosen = withWay(state, {
    elsewhere: { ...state.way.elsewhere, chosen: person },
    place: asPlace(person),
  });
  return answered(chosen, { field: 'elsewhere', value: 'yes' });
}

/** What was answered before may be asked again: the registrar has been called once more. */
const registrarAgain = (state) =>
  withWay(state, {
    situation: { ...state.way.situation, registrar: null },
    answered: state.way.answered.filter((each) => each !== 'registrar'),
    ending: null,
    isDue: true,
    isBusy: true,
  });

/** The name as it is spelled now: the rules look again at once, and no answer is given by it. */
const spelled = (state, { text }) =>
  withWay(state, {
    typed: text,
    isDue: true,
    elsewhere: { ...state.way.elsewhere, text },
  });

/** Whether something else stands in the field than the box has looked for already. */
export const isSpelledAnew = (way, search) =>
  !way.situation.spelled_otherwise && way.typed.trim() !== '' && way.typed.trim() !== search.text.trim();

// With the answer that nobody of them is the person, nine have a number of one digit.
const MOST_SUGGESTED = 8;

/** The lines that fit, then those that come close, each once. */
export const closestLines = (fitting, suggested = []) =>
  [...fitting, ...suggested]
    .filter((each, place, all) => all.findIndex((other) => other.line_id === each.line_id) === place)
    .slice(0, MOST_SUGGESTED);

function endingChosen(state, { code, at }) {
  const { way } = state;
  const next = withWay(state, {
    ending: code,
    isDeclined: null,
    problem: null,
    problems: {},
    guard: sheetChanged(way.guard, at),
  });
  return formOpened(focusOn(next, endingPlace(next.way)));
}

function declined(state, { at }) {
  const next = withWay(state, { isDeclined: true, guard: sheetChanged(state.way.guard, at) });
  return focusOn(next, endingPlace(next.way));
}

/** Something is missing for this ending: said beside its field, which gets the focus. */
function endingLacking(state, { problems }) {
  return focusOn(withWay(state, { problems }), `way-${Object.keys(problems)[0]}`);
}

/** The fields have been gone through: on to the button that writes it down. */
function endingRead(state) {
  const problems = endingLacks(state.way);
  if (Object.keys(problems).length) return endingLacking(state, { problems });
  return focusOn(state, 'way-primary');
}

const noted = (state, { field, text }) =>
  withWay(state, { [field]: text, problems: { ...state.way.problems, [field]: undefined } });

const hasTyped = (way) =>
  hasDraft(way.forms.affidavit) ||
  hasDraft(way.forms.provisional) ||
  [way.name, way.reason, way.elsewhere.chosen ? '' : Object.values(way.place).join('')].some(
    (text) => text.trim() !== '',
  );

/** One step back: out of an ending, out of the last answer, and only then out of the way. */
function back(state, { at }) {
  const { way } = state;
  if (way.stopped) return stopLeft(state, { at });
  if (way.isLeaving) return stayed(state);
  const form = formNow(way);
  if (form && form.stage !== 'fields') return toFields(state, { at });
  const step = { guard: sheetChanged(way.guard, at), problem: null, problems: {} };
  if (way.isDeclined) return focusOn(withWay(state, { ...step, isDeclined: null }), 'way');
  if (way.ending && !way.isDirect) return focusOn(withWay(state, { ...step, ending: null }), 'way');
  const last = way.answered.at(-1);
  if (!last || way.line) return leftOrAsked(state);
  const isPlace = last === 'elsewhere';
  return withWay(state, {
    ...step,
    situation: { ...way.situation, [last]: null },
    answered: way.answered.slice(0, -1),
    isDue: true,
    isBusy: true,
    ...(isPlace && { elsewhere: { ...way.elsewhere, chosen: null }, place: NOWHERE }),
  });
}

const leftOrAsked = (state) =>
  hasTyped(state.way) && !state.pending
    ? focusOn(withWay(state, { isLeaving: true }), 'way')
    : left(state);

const stayed = (state) => focusOn(withWay(state, { isLeaving: false }), 'way');

const left = (state) =>
  focusOn({ ...state, way: null }, state.sheet ? 'verdict' : 'box');

/** On to the box at once, with what was typed there: the person is on a page of the table. */
const boxWanted = (state) => focusOn({ ...state, way: null }, 'box');

/** As a layer over the box: see layers.js. */
export const wayLayer = {
  place: () => 'way',
  back: 'way-back',
  isOf: (write, way) => write.wayOpenedAt === way.openedAt,
  refused: (state, _, problem) => formRefused(state, problem),
  halted: wayStopped,
};

/** A turn of the day changes what may be done for a person whom no line fits. */
export const touchesWay = (state, entry) =>
  Boolean(state.way) && !state.way.line && !state.pending && isTurn(entry);

const onWay = (change) => (state, event) => (state.way ? change(state, event) : state);

export const wayEvents = {
  'lost-opened': lostOpened,
  'line-way-opened': lineWayOpened,
  'way-asked': onWay(asked),
  'way-came': came,
  'way-failed': failed,
  'way-answered': onWay(answered),
  'person-chosen': onWay(personChosen),
  'registrar-again': onWay(registrarAgain),
  'way-spelled': onWay(spelled),
  'ending-chosen': onWay(endingChosen),
  'provisional-declined': onWay(declined),
  'ending-lacking': onWay(endingLacking),
  'ending-read': onWay(endingRead),
  'way-noted': onWay(noted),
  'way-back': onWay(back),
  'way-left': onWay(leftOrAsked),
  'way-stayed': onWay(stayed),
  'way-given-up': onWay(left),
  'box-wanted': onWay(boxWanted),
  ...elsewhereEvents,
};
