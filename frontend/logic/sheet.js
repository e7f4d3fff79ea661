/**
 * The sheet of one open line: its verdict, the steps before signing, the signature. Pure.
 *
 * The rules decide, never this page: each answer of the voter goes to the server, and
 * the verdict that comes back says what is next.
 */

import { announce, focusOn } from './attention.js';
import { freshGuard, keyPressed, sheetChanged } from './enter_guard.js';

/** Which answer of the evidence settles which step. */
export const EVIDENCE_OF_STEP = {
  'in-line-at-cut-off': 'in_line_at_cut_off',
  'tell-apart': 'birth_date',
  identification: 'identification',
};
/** Refusals that rest on an answer just given, and the answer that can be asked for again. */
const ANSWER_BEHIND = {
  'not-this-line': 'birth_date',
  'identification-missing': 'identification',
  'line-cut-off': 'in_line_at_cut_off',
};
const NOTHING_SAID = { birth_date: null, identification: null, in_line_at_cut_off: null };

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
  helper: null,
  strokes: [],
  isUncovered: false,
  isBusy: false,
  problem: null,
  guard: freshGuard(at),
});

export const activeStep = (sheet) =>
  sheet.verdict?.outcome === 'first' ? (sheet.verdict.steps[0] ?? null) : null;
export const hasEvidence = (evidence) => Object.values(evidence).some((said) => said !== null);
/** Names of the lines that the birth date cannot tell from this one, while that still matters. */
export function twinsOf(sheet) {
  if (!maySign(sheet) && activeStep(sheet)?.code !== 'tell-apart') return [];
  return sheet.lookAlikes.filter((each) => each.same_birth_date).map((each) => each.name);
}

// One that does not break: a name spelled over two lines is misread.
const HYPHEN = '\u2011';

/** `M-I-R-I-A-M`: the first name as a voter would spell it. */
export const lettersOf = (line) => [...line.first_name.toLocaleUpperCase()].join(HYPHEN);

export const maySign = (sheet) => sheet.verdict?.outcome === 'sign';
export const hasReason = (sheet, code) =>
  Boolean(sheet.verdict?.reasons.some((reason) => reason.code === code));

/** The birth date stays covered until the voter has said it: it must not be read out to them. */
export const isToldApart = (sheet) =>
  !sheet.verdict?.steps.some((step) => step.code === 'tell-apart') &&
  !hasReason(sheet, 'not-this-line');

/** The answers that a refusal rests on and that the worker may ask for again. */
export const answersToAskAgain = (sheet) =>
  (sheet.verdict?.reasons ?? [])
    .map((reason) => ANSWER_BEHIND[reason.code])
    .filter((said) => said && sheet.evidence[said] !== null);

const withSheet = (state, changes) => ({ ...state, sheet: { ...state.sheet, ...changes } });
const isOpen = (state, lineId) => state.sheet?.lineId === lineId;

/** Where the next one thing is: the place that gets the focus. */
function nextPlace(verdict) {
  if (verdict.outcome === 'sign') return 'primary';
  return verdict.outcome === 'first' ? 'step' : 'verdict';
}

function lineOpened(state, { lineId, name, at }) {
  const match = state.search.matches.find((each) => each.line_id === lineId);
  return focusOn(
    {
      ...state,
      confirmation: null,
      search: { ...state.search, opening: null },
      sheet: freshSheet(lineId, name ?? match?.name ?? '', at),
    },
    'verdict',
  );
}

function lineCame(state, { lineId, answer, at }) {
  if (!isOpen(state, lineId)) return state;
  const came = withSheet(state, {
    line: answer.line,
    name: answer.line.name,
    standing: answer.state,
    lookAlikes: answer.look_alikes,
    history: answer.history,
    // A refusal stays in sight; that the server could not be reached is over.
    problem: state.sheet.problem?.code === 'unreachable' ? null : state.sheet.problem,
  });
  return judged(came, answer.verdict, at);
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
    settled: isRefused ? sheet.settled : [...new Set(before)].filter((c) => !stillDue.includes(c)),
    ...(isRefused && { strokes: [], helper: null }),
    ...(!stillDue.includes('assistance') && { helper: null }),
    ...(!isSame && { guard: sheetChanged(sheet.guard, at) }),
  });
  if (isSame) return next;
  const facts = { name: sheet.name, outcome: verdict.outcome };
  return focusOn(announce(next, 'sheet.said', facts, isRefused), nextPlace(verdict));
}

const answered = (state) =>
  state.sheet ? withSheet(state, { isBusy: true, problem: null }) : state;

function verdictCame(state, { lineId, evidence, verdict, at }) {
  return isOpen(state, lineId) ? judged(withSheet(state, { evidence, problem: null }), verdict, at) : state;
}

/** The answer could not be used, or the server could not be asked: nothing typed is lost. */
function checkRefused(state, { lineId, problem }) {
  if (!isOpen(state, lineId) || !problem) return state;
  const told = withSheet(state, { isBusy: false, problem });
  return focusOn(told, problem.code === 'birth-date-unreadable' ? 'step' : 'problem');
}

const inSheet = (change) => (state, event) =>
  state.sheet ? withSheet(state, change(state.sheet, event)) : state;

function helperWanted(state, { at }) {
  const helper = { name: '', strokes: [] };
  const asked = withSheet(state, { helper, guard: sheetChanged(state.sheet.guard, at) });
  return focusOn(asked, 'helper-name');
}

const sheetLeft = (state) => focusOn({ ...state, sheet: null }, 'box');

export const sheetEvents = {
  'line-opened': lineOpened,
  'line-came': lineCame,
  answered,
  'ask-again-pressed': answered,
  'verdict-came': verdictCame,
  'check-refused': checkRefused,
  'sheet-left': sheetLeft,
  'helper-wanted': helperWanted,
  'helper-named': (state) => focusOn(state, 'helper-primary'),
  'helper-dropped': (state, { at }) =>
    focusOn(withSheet(state, { helper: null, guard: sheetChanged(state.sheet.guard, at) }), 'step'),
  'helper-typed': inSheet((sheet, { text }) => ({ helper: { ...sheet.helper, name: text } })),
  'helper-drawn': inSheet((sheet, { strokes }) => ({ helper: { ...sheet.helper, strokes } })),
  'birth-date-typed': inSheet((_, { text }) => ({ birthDateText: text })),
  'signature-drawn': inSheet((_, { strokes }) => ({ strokes })),
  'cover-turned': inSheet((sheet) => ({ isUncovered: isToldApart(sheet) && !sheet.isUncovered })),
  'key-pressed': inSheet((sheet, key) => ({ guard: keyPressed(sheet.guard, key) })),
};
