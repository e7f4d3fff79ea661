/**
 * What is open on a line stops at the moment in which the line is signed, marked or removed
 * elsewhere. Pure.
 *
 * Nothing more goes out from it, and what was typed stays readable until the worker leaves.
 * Where the rules still offer the same ending, the form may go on for the new reason.
 */

import { announce, focusOn } from './attention.js';
import { comesTooSoon, sheetChanged } from './enter_guard.js';
import { formOpened } from './form.js';
import { fieldsOf, firstValues } from './form_fields.js';
import { formNow, withWay } from './way_state.js';

/** The form over the line stops too, unless its own record is on its way: that answer tells. */
export function wayStopped(state, live, at) {
  const { way, pending } = state;
  if (!way?.line || pending?.wayOpenedAt === way.openedAt) return state;
  const guard = sheetChanged(way.guard, at);
  const next = withWay(state, { stopped: live, isHalted: true, isLeaving: false, guard });
  return focusOn(announce(next, 'stopped.said', {}, true), 'way');
}

/** What was typed on the way, as `[key of its label, field or null, value]`. */
export function typedOn({ way, day }) {
  const form = formNow(way);
  if (form) {
    const first = firstValues(form.kind, way);
    return fieldsOf(form.kind, form.values, day, way)
      .filter(({ name }) => form.values[name] && form.values[name] !== first[name])
      .map((field) => [`form.${field.label ?? field.name}`, field, form.values[field.name]]);
  }
  return [
    ['form.person', null, way.name.trim()],
    ['form.why-leaves', null, way.reason.trim()],
    ...Object.entries(way.place).map(([name, text]) => [`form.${name}`, null, text.trim()]),
  ].filter(([, , value]) => value);
}

export const isDrawnOn = ({ way }) => Boolean(formNow(way)?.strokes.length);

const isRefused = ({ outcome }) => outcome === 'stop' || outcome === 'call';

/** Whether the new verdict leaves the ending that was open. */
export function mayGoOn({ way, sheet }) {
  if (!sheet?.verdict || sheet.isHalted) return false;
  if (!isRefused(sheet.verdict)) return true;
  return sheet.verdict.options.some((option) => option.code === way.ending);
}

function wentOn(state, { at }) {
  const { way, sheet } = state;
  if (!way?.stopped || !mayGoOn(state) || comesTooSoon(way.guard, at)) return state;
  const reasons = sheet.verdict.reasons.map((reason) => reason.code);
  const anew = isRefused(sheet.verdict) && {
    line: { ...way.line, reasons },
    options: sheet.verdict.options,
    caution: sheet.verdict.caution,
  };
  const guard = sheetChanged(way.guard, at);
  const next = withWay(state, { stopped: null, isHalted: false, guard, problem: null, ...anew });
  return formOpened(focusOn(next, 'way'));
}

/** Back to the line; a press that was meant for the form does not lead there. */
export const stopLeft = (state, { at }) =>
  comesTooSoon(state.way.guard, at) ? state : focusOn({ ...state, way: null }, 'verdict');

export const stoppedEvents = {
  'stop-left': (state, event) => (state.way?.stopped ? stopLeft(state, event) : state),
  'stop-passed': wentOn,
};
