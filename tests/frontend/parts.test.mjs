import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { dayPart } from '../../frontend/logic/day_part.js';
import { coverPart } from '../../frontend/logic/cover.js';
import { leadPart } from '../../frontend/logic/lead_part.js';
import { nowPart } from '../../frontend/logic/now_part.js';
import { paperHoursPart } from '../../frontend/logic/paper_hours_part.js';
import { firstState, pageOf, TABLE } from '../../frontend/logic/page.js';
import { practicePart } from '../../frontend/logic/practice_part.js';
import { standbyPart } from '../../frontend/logic/standby.js';
import { stationsPart } from '../../frontend/logic/stations_part.js';
import { voterPart } from '../../frontend/logic/voter_part.js';
import { wayPart } from '../../frontend/logic/way_part.js';
import { PARTS } from '../../frontend/parts.js';
import { DAY } from './making.mjs';

const LOGIC = { table: TABLE, way: wayPart, lead: leadPart, day: dayPart, paper_hours: paperHoursPart, now: nowPart, stations: stationsPart, voter: voterPart, practice: practicePart, cover: coverPart, standby: standbyPart };
const tables = Object.entries(LOGIC);
const FRONTEND = new URL('../../frontend/', import.meta.url);

/** The scripts that come with this one: what it imports, and what that imports. */
function loadedWith(script, seen = new Map()) {
  if (seen.has(script.href)) return seen;
  const text = readFileSync(script, 'utf8');
  seen.set(script.href, text);
  for (const [, name] of text.matchAll(/(?:from|import) '(\.[^']+)'/g)) loadedWith(new URL(name, script), seen);
  return seen;
}

const scriptsOf = (...names) => new Map(names.flatMap((name) => [...loadedWith(new URL(name, FRONTEND))]));
// An attribute of an input or a button, not an event.
const OF_INPUTS = new Set(['button', 'checkbox', 'file', 'password', 'radio', 'submit', 'text']);
const sentIn = (scripts) =>
  [...scripts.values()]
    .flatMap((text) => [...text.matchAll(/\btype: '([a-z-]+)'/g)].map(([, type]) => type))
    .filter((type) => !OF_INPUTS.has(type));

const keysOf = (kind) => tables.flatMap(([, table]) => Object.keys(table[kind] ?? {}));

test('every event, record and layer belongs to exactly one table', () => {
  for (const kind of ['events', 'guarded', 'recorded', 'layers', 'dialogsBehind']) {
    const keys = keysOf(kind);
    assert.equal(new Set(keys).size, keys.length, `${kind}: ${keys.filter((key, place) => keys.indexOf(key) !== place)}`);
  }
});

test('a part is opened by events of its own, and one event opens one part', () => {
  const opening = Object.entries(PARTS).flatMap(([name, { opensWith }]) => opensWith.map((type) => [name, type]));
  for (const [name, type] of opening) assert.ok(Object.hasOwn(LOGIC[name].events, type), type);
  assert.equal(new Set(opening.map(([, type]) => type)).size, opening.length);
});

test('what the table sends it knows itself, or it opens a part; whatever else is sent is of some part', () => {
  const opening = Object.values(PARTS).flatMap(({ opensWith }) => opensWith);
  const meantBySend = ['escape-pressed'];
  const known = new Set([...Object.keys(TABLE.events), ...opening, ...meantBySend]);
  const sent = sentIn(scriptsOf('controller.js'));
  assert.ok(sent.length > 40);
  assert.deepEqual(sent.filter((type) => !known.has(type)), []);
  const all = new Set([...keysOf('events'), ...meantBySend]);
  const byParts = sentIn(scriptsOf('parts/way.js', 'parts/lead.js', 'parts/day.js', 'parts/paper_hours.js', 'parts/now.js', 'parts/stations.js', 'parts/voter.js', 'parts/practice.js', 'parts/cover.js', 'parts/standby.js'));
  assert.deepEqual(byParts.filter((type) => !all.has(type)), []);
});

test('the way sends nothing that only the lead knows, but what opens that part', () => {
  const known = new Set([...Object.keys(TABLE.events), ...Object.keys(wayPart.events), ...PARTS.lead.opensWith, 'escape-pressed']);
  assert.deepEqual(sentIn(scriptsOf('parts/way.js')).filter((type) => !known.has(type)), []);
});

test('the page fetches no script of a part before that part is asked for', () => {
  const table = scriptsOf('controller.js');
  const shared = new Set(['page', 'day', 'attention'].map((name) => new URL(`logic/${name}.js`, FRONTEND).href));
  const heads = ['way', 'lead', 'paper_hours', 'now', 'voter', 'practice'].flatMap((name) => [`parts/${name}.js`, `logic/${name}_part.js`]).map((name) => new URL(name, FRONTEND));
  const own = heads.flatMap((head) => [
    head.href,
    ...[...readFileSync(head, 'utf8').matchAll(/from '(\.[^']+)'/g)].map(([, name]) => new URL(name, head).href),
  ]);
  assert.ok(own.length > 30);
  assert.deepEqual(own.filter((script) => !shared.has(script) && table.has(script)), []);
});

test('what is guarded is an event of some table', () => {
  const events = new Set(keysOf('events'));
  assert.deepEqual(keysOf('guarded').filter((type) => !events.has(type)), []);
});

test('the table works without any part, and no slot of a part is filled', () => {
  const { update, isUnmeant, escapeEvent } = pageOf();
  const state = [
    { type: 'day-came', day: DAY },
    { type: 'typed', text: 'quixote', at: 1000 },
    { type: 'found', asked: 1, answer: { matches: [], ignored: [], fits: 0 } },
    { type: 'enter-pressed', at: 2000, repeat: false },
    { type: 'line-opened', lineId: 'a', name: 'Person of a', at: 3000 },
    { type: 'key-pressed', at: 3100, repeat: false },
    { type: 'dialog-closed' },
  ].reduce(update, firstState({ language: 'en', station: '', at: 0 }));
  assert.deepEqual([state.way, state.late, state.lists, state.dialog], [null, null, null, null]);
  assert.equal(state.sheet.guard.isRefused, true);
  assert.equal(isUnmeant(state, { type: 'sign-pressed', at: 3100 }), true);
  assert.deepEqual(escapeEvent(state, 4000), { type: 'sheet-left' });
});

test('a record refused after the worker has gone on is told without any part, and put away', () => {
  const { update } = pageOf();
  const write = { key: 'k', what: 'signature', body: {}, lineId: 'a', name: 'Person of a', searchText: '' };
  const state = [
    { type: 'day-came', day: DAY },
    { type: 'write-started', write },
    { type: 'write-refused', key: 'k', problem: { code: 'already-signed' } },
  ].reduce(update, firstState({ language: 'en', station: '', at: 0 }));
  assert.equal(state.dialog.kind, 'not-recorded');
  const closed = update(state, { type: 'dialog-closed' });
  assert.deepEqual([closed.dialog, closed.focus.on], [null, 'box']);
});

test('that a part could not be fetched is told until it is here', () => {
  const { update } = pageOf();
  const missing = update(firstState({ language: 'en', station: '', at: 0 }), { type: 'part-missing' });
  assert.deepEqual([missing.notice.key, missing.said.urgent], ['strip.no-part', true]);
  assert.equal(update(missing, { type: 'part-came' }).notice, null);
});

test('what lies over the open line hears that the line was changed at another table', () => {
  const over = { events: { 'over-opened': (state) => ({ ...state, way: { at: null } }) } };
  const halted = (state, live, at) => ({ ...state, way: { at, kind: live.kind } });
  const { update } = pageOf({ ...over, layers: { way: { place: () => 'way', back: 'over-left', halted } } });
  const entry = { kind: 'mark.recorded', line_id: 'a', station: 'Table 2' };
  const state = [
    { type: 'day-came', day: DAY },
    { type: 'line-opened', lineId: 'a', name: 'Person of a', at: 3000 },
    { type: 'over-opened' },
    { type: 'entry-came', entry, time: '09:14', at: 5000 },
  ].reduce(update, firstState({ language: 'en', station: '', at: 0 }));
  assert.deepEqual(state.way, { at: 5000, kind: 'mark.recorded' });
  assert.equal(state.sheet.isHalted, true);
});
