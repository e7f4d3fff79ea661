/**
 * A voter who cannot sign: how the mark was made, and who signs beside it as witness. Pure.
 *
 * The voter's drawing is that of the sheet: what was tried on the signature pad is the mark.
 */

import { focusOn } from './attention.js';
import { sheetChanged } from './enter_guard.js';
import { howSigned } from './strokes.js';

const freshWitness = (isDrawn) => ({ mark: isDrawn ? 'drawn' : null, name: '', strokes: [], problems: {} });

const withSheet = (state, changes) => ({ ...state, sheet: { ...state.sheet, ...changes } });
const withWitness = (state, changes) => withSheet(state, { witness: { ...state.sheet.witness, ...changes } });

function wanted(state, { at }) {
  const { sheet } = state;
  if (!sheet) return state;
  const witness = freshWitness(sheet.strokes.length > 0);
  const guard = sheetChanged(sheet.guard, at);
  return focusOn(withSheet(state, { witness, guard, problem: null, isShortAsked: false }), 'witness-mark');
}

/** Back to the signature; the drawing stays. */
const dropped = (state, { at }) =>
  focusOn(withSheet(state, { witness: null, problem: null, guard: sheetChanged(state.sheet.guard, at) }), 'primary');

/** What the server said of the name is about the old one. */
const noted = (state, { field, value }) =>
  withWitness(withSheet(state, { problem: null }), {
    [field]: value,
    problems: { ...state.sheet.witness.problems, [field]: undefined },
  });

/** `{ field: code }` of what is missing, in the order of the fields. */
export function witnessLacks({ witness, strokes }) {
  const lacks = {};
  if (!witness.mark) lacks.mark = 'mark';
  if (witness.mark === 'drawn' && !strokes.length) lacks.mark = 'drawing';
  if (!witness.name.trim()) lacks.name = 'name';
  return lacks;
}

const lacking = (state, { problems }) =>
  focusOn(withWitness(state, { problems }), `witness-${Object.keys(problems)[0]}`);

/** All is said: on to the witness's signature and the button that records it. */
const read = (state) => focusOn(state, 'primary');

export const markBody = ({ witness, strokes, evidence }) => ({
  how: 'mark',
  mark: witness.mark,
  strokes: witness.mark === 'drawn' ? strokes : null,
  witness: { name: witness.name.trim(), ...howSigned(witness.strokes) },
  evidence,
});

const onWitness = (change) => (state, event) => (state.sheet?.witness ? change(state, event) : state);

export const witnessEvents = {
  'witness-wanted': wanted,
  'witness-dropped': onWitness(dropped),
  'witness-noted': onWitness(noted),
  'witness-lacking': onWitness(lacking),
  'witness-read': onWitness(read),
  'witness-drawn': onWitness((state, { strokes }) => withWitness(state, { strokes })),
};
