/**
 * The sheet of one open line: its verdict, the steps before signing, the signature. Pure.
 *
 * The rules decide, never this page: each answer of the voter goes to the server, and
 * the verdict that comes back says what is next.
 */

import { announce, focusOn, unsaid } from './attention.js';
import { freshGuard, sheetChanged } from './enter_guard.js';
import { isVeryShort } from './strokes.js';

/** Refusals that rest on answers just given, and the answers that can be asked for again. */
const ANSWERS_BEHIND = {
  'not-this-line': ['birth_date'],
  'identification-missing': ['identification'],
  'line-cut-off': ['in_line_at_cut_off'],
  'extended-hours': ['in_line_at_cut_off'],
  'moved-within': ['moved', 'address_affirmed'],
  'moved-outside': ['moved', 'address_affirmed'],
  'address-not-affirmed': ['address_affirmed', 'moved'],
};
const NOTHING_SAID = {
  birth_date: null,
  identification: null,
  in_line_at_cut_off: null,
  address_affirmed: null,
  moved: null,
};

const freshSheet = (lineId, name, at) => ({
  lineId,
  name,
  line: null,
  standing: null,
  verdict: null,
  lookAlikes: [],
  history: [],
  evidence: NOTHING_SAID,
  settled: [],
  birthDateText: '',
  isNameChosen: false,
  isMoveAsked: false,
  helper: null,
  // Whoever cannot sign makes a mark beside which a witness signs.
  witness: null,
  flags: [],
  strokes: [],
  // A very short signature is asked about once.
  isShortAsked: false,
  isUncovered: false,
  isBusy: false,
  // Marked or removed a moment ago: nobody signs before the new verdict is here.
  isHalted: false,
  // What was open and typed when that happened, and was not sent.
  unrecorded: null,
  problem: null,
  guard: freshGuard(at),
});

/** What the page itself asks of a line with a twin: the rules know of birth dates alone. */
const FIRST_NAME = { code: 'first-name', facts: {} };

const twinsOf = (sheet) => sheet.lookAlikes.filter((each) => each.same_birth_date);

/** The birth date has agreed, but it is the twin's too: only the first name tells them apart. */
function isNameDue(sheet) {
  const outcome = sheet.verdict?.outcome;
  const isAgreed = sheet.evidence.birth_date !== null && isToldApart(sheet);
  const mayGoOn = outcome === 'sign' || outcome === 'first';
  return mayGoOn && isAgreed && !sheet.isNameChosen && twinsOf(sheet).length > 0;
}

/** The worker was told of a move that no note on the line asks about. */
const MOVE = { code: 'ask-moved', facts: {} };

export function activeStep(sheet) {
  if (sheet.isMoveAsked) return MOVE;
  if (isNameDue(sheet)) return FIRST_NAME;
  return sheet.verdict?.outcome === 'first' ? (sheet.verdict.steps[0] ?? null) : null;
}

/** What is shown and said of this line: signing waits for the first name, too. */
export function outcomeNow(sheet) {
  const outcome = sheet.verdict?.outcome;
  const isAsking = isNameDue(sheet) || sheet.isMoveAsked || sheet.helper;
  return outcome === 'sign' && isAsking ? 'first' : outcome;
}

/** What an answer changes in the evidence. Whoever has moved affirms the new address anew. */
export const changeOf = ({ said, value }) => ({
  [said]: value,
  ...(said === 'moved' && value === 'within' && { address_affirmed: null }),
});

export const hasEvidence = (evidence) => Object.values(evidence).some((said) => said !== null);

/** `Orsolya Ann` of `Castellane, Orsolya Ann`; somebody with a single name has that. */
const givenOf = (name) => name.slice(name.indexOf(', ') + 1).trim();

/** Empty where the address is protected: it is shown nowhere. */
export const addressOf = (line) =>
  [line.street_address, [line.city, line.postal_code].filter(Boolean).join(' ')]
    .filter(Boolean)
    .join(', ');

/** This line and its twins in the order of their first names, so that none stands out. */
export function namesToChoose(sheet) {
  const { line, lineId, name } = sheet;
  // Street and city, as the twins' lines are told: a postal code more would show which is open.
  const address = [line.street_address, line.city].filter(Boolean).join(', ');
  const own = { line_id: lineId, name, address, address_protected: line.address_protected };
  return [own, ...twinsOf(sheet)]
    .map((each) => ({
      lineId: each.line_id,
      given: givenOf(each.name),
      name: each.name,
      address: each.address,
      isProtected: Boolean(each.address_protected),
    }))
    .sort((a, b) => a.given.localeCompare(b.given) || a.name.localeCompare(b.name));
}

export const maySign = (sheet) =>
  sheet.verdict?.outcome === 'sign' && outcomeNow(sheet) === 'sign' && !sheet.isHalted;
/** Whether this place lets somebody who cannot sign make a mark before a witness. */
export const mayMark = (sheet) =>
  Boolean(sheet.verdict?.options.some((option) => option.code === 'mark-and-witness'));
export const hasReason = (sheet, code) =>
  Boolean(sheet.verdict?.reasons.some((reason) => reason.code === code));

/** The birth date stays covered until the voter has said it: it must not be read out to them. */
export const isToldApart = (sheet) =>
  !sheet.verdict?.steps.some((step) => step.code === 'tell-apart') &&
  !hasReason(sheet, 'not-this-line');

/** The answers that a refusal rests on and that the worker may ask for again. */
export const answersToAskAgain = (sheet) =>
  (sheet.verdict?.reasons ?? [])
    .flatMap((reason) => ANSWERS_BEHIND[reason.code] ?? [])
    .filter((said) => sheet.evidence[said] !== null);

/** Whether a record of this line has been sent and neither taken nor refused yet. */
export const isOnItsWay = (state, lineId) => state.pending?.lineId === lineId;

const withSheet = (state, changes) => ({ ...state, sheet: { ...state.sheet, ...changes } });
const isOpen = (state, lineId) => state.sheet?.lineId === lineId;

/**
 * Where the next one thing is: the place that gets the focus. Of a question that is
 * answered by a button it is the question: an Enter that nobody meant answers nothing.
 */
function nextPlace(sheet) {
  if (maySign(sheet)) return 'primary';
  const step = activeStep(sheet);
  if (!step) return 'verdict';
  return step.code === 'tell-apart' ? 'step' : 'question';
}

/** Says the verdict and goes to the next one thing. */
function toldNext(state, isUrgent = false) {
  const facts = { name: state.sheet.name, outcome: outcomeNow(state.sheet) };
  return focusOn(announce(state, 'sheet.said', facts, isUrgent), nextPlace(state.sheet));
}

function lineOpened(state, { lineId, name, at }) {
  const near = [...state.search.matches, ...(state.sheet?.lookAlikes ?? [])];
  const match = near.find((each) => each.line_id === lineId);
  return focusOn(
    {
      ...state,
      confirmation: null,
      notice: null,
      search: { ...state.search, opening: null },
      sheet: freshSheet(lineId, name ?? match?.name ?? '', at),
    },
    'verdict',
  );
}

function lineCame(state, { lineId, answer, at }) {
  if (!isOpen(state, lineId)) return state;
  const isBack = state.sheet.problem?.code === 'unreachable';
  const came = withSheet(state, {
    line: answer.line,
    name: answer.line.name,
    standing: answer.state,
    lookAlikes: answer.look_alikes,
    history: answer.history,
    isHalted: false,
    // A refusal stays in sight; that the server could not be reached is over.
    problem: isBack ? null : state.sheet.problem,
  });
  const next = judged(came, answer.verdict, at);
  // With the sentence that the server is gone its focus would go, and the next key to nobody.
  return isBack && next.focus.on === 'problem' ? focusOn(next, nextPlace(next.sheet)) : next;
}

/** A new verdict. What it no longer allows is dropped; everything half-made is kept otherwise. */
function judged(state, verdict, at) {
  const { sheet } = state;
  const isRefused = verdict.outcome === 'stop' || verdict.outcome === 'call';
  const isSame = JSON.stringify(sheet.verdict) === JSON.stringify(verdict);
  const stillDue = verdict.steps.map((step) => step.code);
  const before = [...sheet.settled, ...(sheet.verdict?.steps ?? []).map((step) => step.code)];
  const next = withSheet(state, {
    verdict,
    isBusy: false,
    unrecorded: isRefused ? sheet.unrecorded : null,
    settled: isRefused ? sheet.settled : [...new Set(before)].filter((c) => !stillDue.includes(c)),
    ...(isRefused && !isSame && { strokes: [], helper: null, witness: null }),
    ...(sheet.helper?.isPrinted && !stillDue.includes('assistance') && { helper: null }),
    ...(!isSame && { guard: sheetChanged(sheet.guard, at) }),
  });
  if (isSame) return next;
  return toldNext(next, isRefused);
}

const answered = (state) =>
  state.sheet ? withSheet(state, { isBusy: true, problem: null }) : state;

function verdictCame(state, { lineId, evidence, verdict, at }) {
  if (!isOpen(state, lineId)) return state;
  const { sheet } = state;
  const isSaidAnew = evidence.birth_date !== sheet.evidence.birth_date;
  const weighed = withSheet(state, {
    evidence,
    problem: null,
    isMoveAsked: false,
    ...(isSaidAnew && {
      isNameChosen: false,
      settled: sheet.settled.filter((code) => code !== FIRST_NAME.code),
    }),
  });
  return judged(weighed, verdict, at);
}

/** The first name that the voter spelled: this line's own, or that of a twin, whose line opens. */
function firstNameChosen(state, { lineId, at }) {
  const { sheet } = state;
  if (!isOpen(state, lineId)) return { ...state, search: { ...state.search, opening: lineId } };
  const chosen = withSheet(state, {
    isNameChosen: true,
    settled: [...sheet.settled, FIRST_NAME.code],
    guard: sheetChanged(sheet.guard, at),
  });
  return toldNext(chosen);
}

/** The answer could not be used, or the server could not be asked: nothing typed is lost. */
function checkRefused(state, { lineId, problem }) {
  if (!isOpen(state, lineId) || !problem) return state;
  const told = withSheet(state, { isBusy: false, problem });
  return focusOn(told, problem.code === 'birth-date-unreadable' ? 'step' : 'problem');
}

const inSheet = (change) => (state, event) =>
  state.sheet ? withSheet(state, change(state.sheet, event)) : state;

/** The voter says that they have moved, or the worker takes the question back. */
const moveAsked = (isMoveAsked) => (state, { at }) => {
  if (!state.sheet) return state;
  const next = withSheet(state, { isMoveAsked, guard: sheetChanged(state.sheet.guard, at) });
  return focusOn(next, isMoveAsked ? 'question' : nextPlace(next.sheet));
};

/**
 * The sheet goes. What was drawn on it and not sent is told as not recorded, until the
 * next line is opened: somebody may have seen the voter sign.
 */
export function leftUnrecorded(state) {
  const { sheet } = state;
  if (!sheet) return state;
  const left = unsaid({ ...state, sheet: null });
  const isDrawn = [sheet, sheet.helper, sheet.witness].some((each) => each?.strokes.length > 0);
  if (!isDrawn || isOnItsWay(state, sheet.lineId)) return left;
  const notice = { key: 'signing.left', facts: { name: sheet.name } };
  return announce({ ...left, notice }, notice.key, notice.facts, true);
}

/** Asks once about a very short signature; the acts record every other. */
function signPressed(state, { at }) {
  const { sheet } = state;
  if (!sheet || sheet.isShortAsked || !isVeryShort(sheet.strokes)) return state;
  const asked = withSheet(state, { isShortAsked: true, guard: sheetChanged(sheet.guard, at) });
  return focusOn(announce(asked, 'signing.short', {}, true), 'primary');
}

const sheetLeft = (state) => focusOn(leftUnrecorded(state), 'box');

export const sheetEvents = {
  'line-opened': lineOpened,
  'line-came': lineCame,
  answered,
  'ask-again-pressed': answered,
  'verdict-came': verdictCame,
  'check-refused': checkRefused,
  'first-name-chosen': firstNameChosen,
  'birth-date-missing': (state) =>
    focusOn(withSheet(state, { problem: { code: 'birth-date-missing' } }), 'step'),
  'sheet-left': sheetLeft,
  'look-alikes-wanted': (state) => focusOn(state, 'look-alikes'),
  'move-told': moveAsked(true),
  'move-untold': moveAsked(false),
  'birth-date-typed': inSheet((_, { text }) => ({ birthDateText: text })),
  'sign-pressed': signPressed,
  'signature-drawn': inSheet((_, { strokes }) => ({ strokes, isShortAsked: false })),
  'cover-turned': inSheet((sheet) => ({ isUncovered: isToldApart(sheet) && !sheet.isUncovered })),
};
