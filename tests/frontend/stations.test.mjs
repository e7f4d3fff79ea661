import assert from 'node:assert/strict';
import { test } from 'node:test';

import { isCovered } from '../../frontend/logic/lock.js';
import { pageOf } from '../../frontend/logic/page.js';
import { nowPart } from '../../frontend/logic/now_part.js';
import { inGroups, isOver, lastRefused, pinsToSee, touchesStations } from '../../frontend/logic/stations.js';
import { stationsPart } from '../../frontend/logic/stations_part.js';
import { firstState } from '../../frontend/logic/whole_page.js';
import { DAY } from './making.mjs';

const { update, escapeEvent } = pageOf(nowPart, stationsPart);
const LEAD = { ...DAY, worker: { ...DAY.worker, role: 'lead' } };
const page = (day, ...events) =>
  [{ type: 'day-came', day }, ...events].reduce(update, firstState({ language: 'en', station: '', at: 0 }));
const LIST = { url: null, fingerprint: null, stations: [], sign_ons: [], workers: [], refused: [] };
const opened = { type: 'stations-opened' };
const came = { type: 'stations-came', list: LIST };
const asking = { type: 'station-asked', asking: { what: 'unlock', id: 'a', name: 'RM' } };

test('a lead opens the screen and Escape goes back to what they came from', () => {
  const state = page(LEAD, { type: 'now-opened' }, opened, came);
  assert.deepEqual([state.now, state.stations.list, state.focus.on], [null, LIST, 'stations']);
  const back = update(state, escapeEvent(state, 1));
  assert.equal(back.stations, null);
  assert.ok(back.now);
});

test('whoever is no lead opens nothing', () => {
  assert.equal(page({ ...DAY, worker: { ...DAY.worker, role: 'worker' } }, opened).stations, null);
});

test('Escape first takes back what is asked, then the screen', () => {
  const state = page(LEAD, opened, came, asking);
  assert.equal(state.focus.on, 'asking');
  const once = update(state, escapeEvent(state, 1));
  assert.deepEqual([once.stations.asking, once.focus.on], [null, 'stations']);
  assert.equal(update(once, escapeEvent(once, 2)).stations, null);
});

test('a refusal stays in sight when the list comes anew, and a list that could not be had does not', () => {
  const refused = { type: 'station-refused', problem: { code: 'wrong-pin' } };
  const state = page(LEAD, opened, came, asking, { type: 'station-said' }, refused, came);
  assert.deepEqual([state.stations.problem.code, state.stations.isBusy, state.focus.on], ['wrong-pin', false, 'asking']);
  const gone = page(LEAD, opened, { type: 'stations-came', problem: { code: 'unreachable' } }, came);
  assert.equal(gone.stations.problem, null);
});

test('a code is in two groups, has the focus, and goes when it is over', () => {
  const state = page(LEAD, opened, came, { type: 'code-came', code: '3467ACDE', until: 5000 });
  assert.deepEqual([inGroups(state.stations.code.text), state.focus.on], ['3467 ACDE', 'code']);
  assert.deepEqual([isOver(state.stations.code, 4999), isOver(state.stations.code, 5000)], [false, true]);
  assert.equal(update(state, { type: 'code-gone' }).stations.code, null);
});

test('signing off leaves nothing of the screen', () => {
  const state = page(LEAD, opened, came, { type: 'code-came', code: '3467ACDE', until: 5000 }, { type: 'signed-off' });
  assert.equal(state.stations, null);
});

test('PINs with wrong tries are shown, the locked ones first', () => {
  const worker = (initials, wrong, isLocked) => ({ initials, wrong, is_locked: isLocked });
  const list = { workers: [worker('AA', 0, false), worker('BB', 2, false), worker('CC', 10, true)] };
  assert.deepEqual(pinsToSee(list).map(({ initials }) => initials), ['CC', 'BB']);
});

test('what was refused is looked at up to the newest that is shown', () => {
  assert.equal(lastRefused({ refused: [{ seq: 4 }, { seq: 9 }] }), 9);
  assert.equal(lastRefused({ refused: [] }), null);
});

test('stations, sign-ons and the door change the open screen, signatures do not', () => {
  const state = page(LEAD, opened, came);
  const touched = (kind) => touchesStations(state, { kind });
  assert.deepEqual(['station.joined', 'worker.signed_on', 'door.refused', 'signature.recorded'].map(touched), [true, true, true, false]);
  assert.equal(touchesStations(page(LEAD), { kind: 'station.joined' }), false);
});

test('a page to which the server answers nothing more is covered, and what lies on it is kept', () => {
  const awake = page(LEAD, opened, came);
  const slept = update(awake, { type: 'day-came', day: { ...LEAD, is_covered: true } });
  assert.equal(isCovered(slept), true);
  assert.equal(slept.stations.list, LIST);
  assert.equal(isCovered(page({ ...DAY, worker: null, is_covered: false })), false);
});
