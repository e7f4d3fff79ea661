/** Bringing a list as a file: which kind, which file, and what the server makes of it. Pure. */

import { announce, focusOn } from './attention.js';
import { withLate } from './late_state.js';

export const KINDS = ['mail_voted', 'early_voted', 'supplemental', 'removals'];

// The server takes no more on this route.
export const MOST_BYTES = 2_000_000 * 0.74;

export const freshBring = () => ({
  kind: null,
  name: '',
  size: 0,
  problems: {},
  problem: null,
  isBusy: false,
});

const withBring = (state, changes) => withLate(state, { bring: { ...state.late.bring, ...changes } });

const kindChosen = (state, { kind }) => withBring(state, { kind, problems: {}, problem: null });

/** Another file: what was said about the one before is over. */
const fileChosen = (state, { name, size }) =>
  withBring(state, { name, size, problems: {}, problem: null });

export function bringLacks({ kind, name, size }) {
  if (!kind) return { kind: 'list-kind' };
  if (!name) return { file: 'list-file' };
  return size > MOST_BYTES ? { file: 'list-large' } : {};
}

function submitted(state) {
  const problems = bringLacks(state.late.bring);
  const [first] = Object.keys(problems);
  if (first) return focusOn(withBring(state, { problems }), `bring-${first}`);
  return withBring(state, { isBusy: true, problems: {}, problem: null });
}

/** The list was applied before, cannot be read, or could not be sent: the file stays chosen. */
function refused(state, { problem }) {
  const next = withBring(state, { isBusy: false, problem });
  const isCalm = problem.code === 'list-applied-already';
  return focusOn(announce(next, isCalm ? 'bring.said-again' : 'bring.said-not', {}, !isCalm), 'problem');
}

const onBring = (change) => (state, event) => (state.late?.bring ? change(state, event) : state);

export const bringEvents = {
  'bring-kind-chosen': onBring(kindChosen),
  'bring-file-chosen': onBring(fileChosen),
  'bring-submitted': onBring(submitted),
  'bring-refused': onBring(refused),
};
