/**
 * What is read and written down beside the checks: a machine's counters, a seal, a count of
 * ballots on paper. Pure.
 *
 * What the server doubts is not recorded: it is told, to be read again first; whoever has read
 * it again and sees the same says so, and why.
 */

import { announce, focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';
import { countsPaper, whileAtWork, withWork } from './work_state.js';

const MOMENTS_OF = { not_open: ['opening'], open: ['during', 'close'], cut_off: ['close', 'during'], closed: ['close'] };

/** The moments at which a machine is read now, the usual one first. */
export const momentsNow = (day) => MOMENTS_OF[day.phase] ?? [];

export const SEAL_OF = ['register', 'supplemental', 'machine', 'cartridge', 'bag', 'keys', 'provisional', 'other'];
export const SEAL_ACTS = ['read', 'broken', 'put_on'];

const ZERO = ['time_right', 'serial_right', 'precinct_right', 'candidates_zero'];
const number = (name) => ({ name, kind: 'number', isNeeded: true });

/** The fields of the form in order: what each is called stands in the words `work-field`. */
export function fieldsOf(form, day) {
  if (form.kind === 'seal') {
    return [
      { name: 'of', kind: 'choice', choices: SEAL_OF },
      { name: 'act', kind: 'choice', choices: SEAL_ACTS },
      { name: 'where', kind: 'text' },
      { name: 'number', kind: 'text', isNeeded: true },
      { name: 'agrees', kind: 'choice', choices: ['yes', 'no', 'not-on-it'] },
    ];
  }
  if (form.kind === 'count') return [number('count')];
  const isOpening = form.moment === 'opening';
  return [
    ...(isOpening ? ZERO.map((name) => ({ name, kind: 'tick' })) : []),
    number('public'),
    { ...number('protective'), isNeeded: form.moment !== 'during' },
    ...(isOpening ? [{ name: 'on_screen', kind: 'number', isNeeded: true }] : []),
    ...buttonsOf(form, day).map((button) => ({ ...number(`button_${button}`), button })),
  ];
}

/** Counts by ballot are asked for at the close, where the policy compares them. */
const buttonsOf = ({ moment }, day) =>
  moment === 'close' && day.policy?.reconcile_ballots_by_button
    ? day.ballots.map(({ button }) => button).filter((button) => button !== null)
    : [];

// Whoever reads aloud separates thousands; nothing else may stand between the digits.
const plain = (text) => text.trim().replace(/[\s.,\u0027\u2019]/g, '');
const isNumber = (text) => /^\d{1,8}$/.test(plain(text));
const asNumber = (text) => (text?.trim() ? Number(plain(text)) : null);

const isLacking = ({ name, kind, isNeeded }, values) => {
  const text = values[name] ?? '';
  if (kind === 'number') return text.trim() ? !isNumber(text) : Boolean(isNeeded);
  return Boolean(isNeeded) && !text.trim();
};

/** The names of the fields that lack something, in order. */
export const lacksOf = (form, day) =>
  fieldsOf(form, day)
    .filter((field) => isLacking(field, form.values))
    .map(({ name }) => name);

/** `{ what, path, body }` of what is written down. */
export function writeOf(form, day) {
  const { values, serial, moment, replaces, reason, insists } = form;
  const why = { reason: reason.trim(), ...(form.kind !== 'count' && { anyway: insists }) };
  if (form.kind === 'seal') {
    const agrees = { yes: true, no: false }[values.agrees] ?? null;
    const { of, where, number: read, act } = values;
    return { path: '/seals', body: { of, where: where.trim(), number: read.trim(), act, agrees, ...why } };
  }
  if (form.kind === 'count') {
    return { path: '/ballots-counted', body: { what: form.what, count: asNumber(values.count), replaces, ...why } };
  }
  const body = { at_moment: moment, public: asNumber(values.public), protective: asNumber(values.protective), by_button: null, zero_report: null, replaces, ...why };
  const buttons = buttonsOf(form, day);
  if (buttons.length) body.by_button = Object.fromEntries(buttons.map((button) => [String(button), asNumber(values[`button_${button}`])]));
  if (moment === 'opening') {
    body.zero_report = {
      ...Object.fromEntries(ZERO.map((name) => [name, values[name] === true])),
      protective_on_screen: asNumber(values.on_screen),
    };
  }
  return { path: `/machines/${encodeURIComponent(serial)}/readings`, body };
}

const NEW = { values: {}, problems: {}, stage: 'form', doubts: [], reason: '', insists: false, replaces: null, standing: null };
const SEAL_VALUES = { of: 'register', where: '', act: 'read', number: '', agrees: 'yes' };

const placeOf = (name) => `work-${name}`;
const firstPlace = (form, day) => (form.kind === 'seal' ? placeOf('number') : placeOf(fieldsOf(form, day)[0].name));

const withForm = (state, changes) => withWork(state, { form: { ...state.dayWork.form, ...changes } });

/** `kind` reading needs `serial` and `moment`, count `what`; a seal may be told `of` and `where`. */
function opened(state, { kind, serial = null, moment = null, what = null, values = {}, at }) {
  const begun = kind === 'seal' ? { ...SEAL_VALUES, ...values } : values;
  const form = { ...NEW, kind, serial, moment, what, values: begun };
  const guard = sheetChanged(state.dayWork.guard, at);
  const next = withWork(state, { form, guard, told: null, problem: null });
  return focusOn(next, kind === 'seal' ? placeOf('of') : firstPlace(form, state.day));
}

const typed = (state, { field, value }) => {
  const { values, problems } = state.dayWork.form;
  return withForm(state, { values: { ...values, [field]: value }, problems: { ...problems, [field]: false } });
};

const reasonTyped = (state, { text }) => withForm(state, { reason: text, problems: {} });

/** What is lacking is told beside it; the write itself is begun by the acts. */
function submitted(state) {
  const lacks = lacksOf(state.dayWork.form, state.day);
  if (!lacks.length) return withWork(state, { problem: null });
  const next = withForm(state, { problems: Object.fromEntries(lacks.map((name) => [name, true])) });
  return focusOn(announce(next, 'form.lacking', {}, true), placeOf(lacks[0]));
}

function reasonSubmitted(state) {
  if (state.dayWork.form.reason.trim()) return withForm(state, { insists: state.dayWork.form.stage === 'insist' || state.dayWork.form.insists });
  return focusOn(withForm(state, { problems: { reason: true } }), placeOf('reason'));
}

const COUNTERS = new Set(['public', 'protective', 'on_screen', 'number', 'count']);

/** What was doubted is typed anew, or the slip of the finger would stand there again. */
function readAgain(state) {
  const { form } = state.dayWork;
  const kept = Object.entries(form.values).filter(([name]) => !COUNTERS.has(name) && !name.startsWith('button_'));
  const values = { ...Object.fromEntries(kept), ...(form.kind === 'seal' && { number: '' }) };
  const next = withForm(state, { ...NEW, values, replaces: form.replaces, reason: form.replaces ? form.reason : '' });
  const isZero = form.doubts.some(({ code }) => code === 'zero-report-wrong');
  const first = { seal: 'number', count: 'count', reading: isZero ? ZERO[0] : 'public' }[form.kind];
  return focusOn(next, placeOf(first));
}

const toStage = (stage, more = {}) => (state, { at }) =>
  focusOn(withForm(withWork(state, { guard: sheetChanged(state.dayWork.guard, at) }), { stage, ...more }), placeOf('reason'));

const replacing = (state, event) =>
  toStage('replace', { replaces: state.dayWork.form.standing.seq })(state, event);

/** Not recorded: doubted, or there is one already. Anything else is told beneath the form. */
export function formRefused(state, write, problem) {
  if (!state.dayWork?.form) return focusOn(withWork(state, { problem }), 'problem');
  const { code, doubts, seq, public: before, count } = problem;
  const guard = sheetChanged(state.dayWork.guard, write.at);
  const guarded = withWork(state, { guard });
  if (doubts) {
    const next = withForm(guarded, { stage: 'doubt', doubts, insists: false });
    return focusOn(announce(next, 'work.said-doubt', {}, true), 'work');
  }
  if (code === 'counted-already') {
    const next = withForm(guarded, { stage: 'standing', standing: { seq, count: before ?? count } });
    return focusOn(announce(next, 'work.said-standing', {}, true), 'work');
  }
  return focusOn(withWork(guarded, { problem }), 'problem');
}

/** Recorded: what is to be read first, then the next machine, or the next seal. */
export function formRecorded(state, write, receipt) {
  if (state.dayWork?.openedAt !== write.workOpenedAt || !state.dayWork.form) return state;
  const { form } = state.dayWork;
  const { call = null, flags = [] } = receipt;
  const told = call || flags.length ? { call, flags, code: null } : null;
  const guard = sheetChanged(state.dayWork.guard, write.at);
  const next = announce(withWork(state, { form: null, told, guard, problem: null }), 'work.said-written');
  if (told) return focusOn(announce(next, call ? 'work.said-call' : 'work.said-flag', call ?? {}, true), 'work-told');
  // The next seal of the walk is of the same kind more often than not.
  if (form.kind === 'seal') return opened(next, { kind: 'seal', values: { ...form.values, number: '' }, at: write.at });
  const after = form.kind === 'reading' && nextMachine(next, form);
  return focusOn(next, after ? placeOf(`read-${after}`) : 'work');
}

/** The serial of the next machine that is not read at this moment yet. */
function nextMachine({ dayWork }, { serial, moment }) {
  if (!dayWork.machines || moment === 'during') return null;
  const { machines } = dayWork.machines;
  return machines.find((each) => each.serial !== serial && !each[moment])?.serial ?? null;
}

/** One step back within a form; null where none is open. */
export function formBack(state, at) {
  const { form, guard, screen } = state.dayWork;
  if (!form) return null;
  if (form.stage !== 'form') return readAgain(state);
  return focusOn(withWork(state, { form: null, problem: null, guard: sheetChanged(guard, at) }), screen === 'machines' ? placeOf(`read-${form.serial}`) : 'work');
}

const onForm = (change) => whileAtWork((state, event) => (state.dayWork.form ? change(state, event) : state));

export const workFormEvents = {
  'work-form-opened': whileAtWork(opened),
  'work-typed': onForm(typed),
  'work-reason-typed': onForm(reasonTyped),
  'work-submitted': onForm(submitted),
  'work-reason-submitted': onForm(reasonSubmitted),
  'work-read-again': onForm(readAgain),
  'work-insisted': onForm(toStage('insist')),
  'work-replaces': onForm(replacing),
};

/** What must be counted on paper before the close, besides the machines. */
export const countsWanted = (state) => (countsPaper(state) ? ['received', 'resupplied', 'issued', 'spoiled', 'reissued', 'unused'] : []);
