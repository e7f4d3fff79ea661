/** Small readings and changes of the hours on paper, shared by their modules. Pure. */

import { focusOn } from './attention.js';

export const withHours = (state, changes) => ({ ...state, paperHours: { ...state.paperHours, ...changes } });

export const withRow = (state, changes) =>
  withHours(state, { row: { ...state.paperHours.row, ...changes } });

export const whileOpen = (change) => (state, event, tables) =>
  state.paperHours ? change(state, event, tables) : state;

export const inBox = (state, changes) => focusOn(withRow(state, changes), 'keying-box');

/** The hour on paper that is open, or null. */
export const openHour = ({ paperHours }) => paperHours?.came?.open ?? null;

export const rowsOf = (state) => openHour(state)?.rows ?? [];

const stands = (row) => !row.undone;
const endOf = (rows) => Math.max(0, ...rows.map(({ order }) => order));

/** The place after the last one of this page. */
export const nextOrder = (rows, page) => endOf(rows.filter((row) => stands(row) && row.page === page)) + 1;

/** How many rows stand, page by page: `[page, rows]` in the order of the pages. */
export function rowsByPage(rows) {
  const pages = new Map();
  for (const { page } of rows.filter(stands)) pages.set(page, (pages.get(page) ?? 0) + 1);
  return [...pages].sort(([one], [other]) => one - other);
}

/** With a row as the server has it now, and the sum of the hour. */
export function rowCame(state, { row, tally }) {
  const { came } = state.paperHours;
  if (!came?.open) return state;
  const others = came.open.rows.filter(({ number }) => number !== row.number);
  const rows = [...others, row].sort((one, other) => one.number - other.number);
  return withHours(state, { came: { ...came, open: { ...came.open, rows, tally } } });
}
