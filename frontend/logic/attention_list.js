/**
 * What needs the lead now, as the server lists it, oldest first. Pure.
 *
 * The list is kept while a lead is signed on (`needs`), open or not: its number stands in the
 * head of the page. The open view (`now`) also has the turnout.
 */

import { announce, focusOn } from './attention.js';
import { isLead, isStandby } from './day.js';
import { placeBehind } from './layers.js';

const KNOWN = new Set([
  'line-contradicts',
  'irregularity-open',
  'late-rows-open',
  'late-list-draft',
  'paper-list-open',
  'codes-locked',
  'helper-over-limit',
  'readings-off',
  'paper-hours-open',
  'station-quiet',
  'refused-at-the-door',
  'copy-failing',
  'disk-nearly-full',
  'old-laptop-untold',
]);

/** The sentence of an item: a kind that this page does not know gets the general one. */
export function needKey({ kind, facts }) {
  if (kind === 'copy-failing' && facts.which === 'standby') {
    return facts.why === 'holds-more' ? 'copy.standby-holds-more' : 'copy.standby';
  }
  if (kind === 'copy-failing' && WHY.has(facts.why)) return `copy.${facts.why}`;
  if (isOpenedFor({ kind, facts })) return `opened-for.${facts.code}`;
  return `attention.${KNOWN.has(kind) ? kind : 'other'}`;
}

// What is to be done about a copy depends on why it is not written.
const WHY = new Set(['gone', 'full', 'read-only', 'slow', 'refused', 'holds-more']);

/** Whether the program opened it itself, for a code that says more than what it is about. */
export const isOpenedFor = ({ kind, facts }) => kind === 'irregularity-open' && OPENED_FOR.has(facts.code);

const OPENED_FOR = new Set([
  'public-not-zero',
  'protective-not-as-packaged',
  'protective-not-on-screen',
  'zero-report-wrong',
  'counter-went-down',
  'protective-moved-otherwise',
  'buttons-do-not-add-up',
  'serial-unknown',
  'reading-differs',
  'seal-seen-elsewhere',
  'seal-put-on-twice',
  'seal-not-the-one',
  'seal-not-on-sheet',
  'check-failed',
  'opened-before-ready',
  'closed-with-difference',
  'record-is-older',
  'stations-not-served',
  'paper-newer',
  'paper-on-no-line',
  'steps-not-on-paper',
]);

/** The facts of its sentence; `n` chooses between one and several. */
export function needFacts({ kind, facts }) {
  if (kind === 'late-rows-open') return { ...facts, n: (facts.rows ?? 0) + (facts.gone ?? 0) };
  if (kind === 'readings-off') return { ...facts, n: Math.abs(facts.difference ?? 0) };
  // None that wait are not told.
  return { ...facts, waiting: facts.waiting || null };
}

// What has a place of its own, whatever field is set.
const OPENS = {
  'codes-locked': () => ({ type: 'dialog-opened', kind: 'unlock-codes' }),
  'helper-over-limit': () => ({ type: 'lists-opened' }),
  'refused-at-the-door': () => ({ type: 'stations-opened' }),
  'readings-off': (_, at) => ({ type: 'work-opened', screen: 'machines', at }),
  'paper-hours-open': (_, at) => ({ type: 'paper-hours-opened', at }),
  'irregularity-open': ({ irregularity_seq: seq }, at) => irregularity(seq, at),
};

const irregularity = (seq, at) => ({ type: 'late-opened', screen: 'irregularities', seq, at });

/** The event that opens what an item is about, or null where nothing on this page is. */
export function opening(item, at) {
  const own = OPENS[item.kind];
  if (own) return own(item, at);
  if (item.line_id) return { type: 'look-alike-opened', lineId: item.line_id, name: item.facts.name ?? '' };
  if (item.list_id) return { type: 'late-opened', at, listId: item.list_id };
  return item.irregularity_seq ? irregularity(item.irregularity_seq, at) : null;
}

// Screens on which nothing can be done but to record.
const RECORDS = new Set(['dialog-opened', 'stations-opened', 'paper-hours-opened']);

/** The same, on this laptop: where nothing is recorded such an item is only told. */
export function openingHere(state, item, at) {
  const event = opening(item, at);
  return event && isStandby(state) && RECORDS.has(event.type) ? null : event;
}

const placeOf = (items, key) => items.findIndex((item) => item.key === key);

/** What has the focus in the open view: the item that is worked with, or its heading. */
const placeIn = ({ on }) => (on ? 'need' : 'now');

function opened(state) {
  if (!isLead(state) || state.now) return state;
  const now = { on: state.needs?.[0]?.key ?? null, turnout: null, problem: null, isUnprinted: false };
  return focusOn({ ...state, now, confirmation: null, notice: null }, placeIn(now));
}

function left(state, _, { layers }) {
  const closed = { ...state, now: null };
  return focusOn(closed, placeBehind(closed, layers));
}

/** The list anew, or the problem that kept it away. What is new is said once. */
function came(state, { items, problem = null }) {
  if (!isLead(state)) return state;
  if (problem) return state.now ? { ...state, now: { ...state.now, problem } } : state;
  const healed = state.now?.problem ? { ...state, now: { ...state.now, problem: null } } : state;
  if (JSON.stringify(items) === JSON.stringify(state.needs)) return healed;
  const listed = { ...healed, needs: items };
  return state.needs ? told(keptFocus(listed, state.needs), state.needs) : firstCame(listed);
}

/** Opened before the first list had come: the oldest item has the focus, as it would have had. */
function firstCame(state) {
  const on = state.needs[0]?.key;
  return state.now && on ? focusOn({ ...state, now: { ...state.now, on } }, 'need') : state;
}

/** The focus stays on the same item; where that one is settled, on whichever took its place. */
function keptFocus(state, before) {
  const { now, needs } = state;
  if (!now?.on) return state;
  const place = placeOf(needs, now.on);
  const was = placeOf(before, now.on);
  if (place >= 0) return place === was ? state : focusOn(state, 'need');
  const next = { ...now, on: needs[Math.min(was, needs.length - 1)]?.key ?? null };
  return focusOn({ ...state, now: next }, placeIn(next));
}

function told(state, before) {
  const known = new Set(before.map((item) => item.key));
  const fresh = state.needs.filter((item) => !known.has(item.key));
  if (!fresh.length) return state;
  if (fresh.length > 1) return announce(state, 'now.fresh', { n: fresh.length });
  return announce(state, needKey(fresh[0]), needFacts(fresh[0]));
}

const onNow = (change) => (state, event) =>
  state.now ? { ...state, now: { ...state.now, ...change(event) } } : state;

/** An item has the focus, or (`key` null) none of them. */
const focused = (state, { key }) =>
  !state.now || state.now.on === key ? state : { ...state, now: { ...state.now, on: key } };

/** As a layer over the box: see layers.js. Nothing is written on it. */
export const nowLayer = { place: placeIn, back: 'now-left' };

export const attentionEvents = {
  'now-opened': opened,
  'now-left': left,
  'needs-came': came,
  'need-focused': focused,
  'turnout-came': onNow(({ turnout }) => ({ turnout })),
  'count-missing': onNow(() => ({ isUnprinted: true })),
  'count-asked': onNow(() => ({ isUnprinted: false })),
};
