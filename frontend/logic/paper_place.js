/**
 * Where a signature stands on paper: the page, which one on it, and the time that is written
 * there. Enter goes on from field to field, and the place goes up by itself. Pure.
 */

import { announce, focusOn } from './attention.js';
import { asTime } from './dialog.js';
import { inBox, nextOrder, rowsOf, withRow } from './paper_state.js';

const NUMBER = /^[1-9]\d{0,4}$/;
const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;

/** Another page begins behind what is keyed of it. */
export function placeTyped(state, { field, text }) {
  const { place, problems } = state.paperHours.row;
  const next = { ...place, [field]: text };
  if (field === 'page' && NUMBER.test(text.trim())) next.order = String(nextOrder(rowsOf(state), Number(text)));
  return withRow(state, { place: next, problems: { ...problems, [field]: null }, problem: null });
}

const AFTER = { page: 'hours-time', order: 'hours-time', time: 'keying-box' };

// Longer than any time: a card that was scanned while the time had the focus.
const SCANNED = /^\d{6,}$/;

export const placeEntered = (state, { field }) => {
  const { row } = state.paperHours;
  if (field === 'time' && SCANNED.test(row.place.time.trim())) return scannedAsTime(state);
  const lack = placeLacks(row.place)[field];
  if (lack) return placeLacking(state, { [field]: lack });
  const place = { ...row.place, time: asTime(row.place.time) };
  return focusOn(withRow(state, { place }), AFTER[field]);
};

function scannedAsTime(state) {
  const { place, asked } = state.paperHours.row;
  const next = { text: place.time.trim(), place: { ...place, time: '' }, stage: 'looking', asked: asked + 1, shown: null, said: {}, notKeyed: '' };
  return inBox(state, next);
}

/** `{ field: code }` of what cannot be right. A time may be blank. */
export function placeLacks({ page, order, time }) {
  return {
    ...(!NUMBER.test(page.trim()) && { page: 'as-number' }),
    ...(!NUMBER.test(order.trim()) && { order: 'as-number' }),
    ...(time.trim() && !TIME.test(asTime(time)) && { time: 'as-time' }),
  };
}

export function placeLacking(state, problems) {
  const [first] = Object.keys(problems);
  return focusOn(announce(withRow(state, { problems }), 'form.lacking', {}, true), `hours-${first}`);
}

/** The other page: its number is typed over. */
export const pageWanted = (state) => (state.paperHours.row.settles ? state : focusOn(state, 'hours-page'));
