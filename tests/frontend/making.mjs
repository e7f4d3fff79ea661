/** Invented pages and people for the tests of the logic. */

import { firstState, update } from '../../frontend/logic/whole_page.js';

export const DAY = {
  election: { id: 'tern-2027-03-02', date: '2027-03-02', federal: true, opens: '07:00', closes: '20:00', time_zone: 'America/New_York' },
  precinct: { county: 'Tern County', number: '4-07' },
  registrar: { office: 'Tern County Registrar of Voters', phone: '555-0142' },
  policy: { date_order: 'month_first', correction_affidavit: true, provisional: 'federal_only' },
  ballots: [{ style: '4-07 A', button: 1 }, { style: '4-07 B', button: 2 }],
  has_elsewhere: true,
  extended: null,
  may_withdraw: ['day.opened'],
  phase: 'open',
  is_election_date: true,
  local_time: '12:00',
  counts: { signed: 0 },
  worker: { worker_id: 'w1', name: 'Marit Kessel', initials: 'MK', role: 'worker' },
  station: 'Table 1',
  head: { seq: 3, hash: '' },
};

/** The state after `events`, beginning with somebody signed on. */
export const after = (...events) => events.reduce(update, signedOn());

export const signedOn = (day = {}) =>
  update(firstState({ language: 'en', station: '', at: 0 }), {
    type: 'day-came',
    day: { ...DAY, ...day },
  });

export const match = (lineId, more = {}) => ({
  line_id: lineId,
  name: `Person of ${lineId}`,
  outcome: 'sign',
  ...more,
});

export const answer = (...lineIds) => ({
  matches: lineIds.map((lineId) => match(lineId)),
  ignored: [],
  fits: lineIds.length,
});

export const verdict = (outcome, more = {}) => ({
  outcome,
  steps: [],
  reasons: [],
  options: [],
  ballot_button: outcome === 'sign' ? 2 : null,
  caution: '',
  ...more,
});

export const step = (code, facts = {}) => ({ code, facts, settled_by: 'evidence' });
export const reason = (code, facts = {}) => ({ code, facts });

export const lineAnswer = (given) => ({
  line: { name: 'Castellane, Orsolya', street_address: '12 Wharf Street', city: 'Ternmouth', postal_code: '00417', birth_date: '1987-03-04' },
  state: { signature: null },
  verdict: given,
  look_alikes: [],
  history: [],
});

export const opened = (given, at = 1000) => [
  { type: 'line-opened', lineId: 'a', name: 'Castellane, Orsolya', at },
  { type: 'line-came', lineId: 'a', answer: lineAnswer(given), at },
];

export const SIGNATURE = {
  type: 'write-started',
  write: {
    key: 'k1',
    what: 'signature',
    path: '/lines/a/signature',
    body: { how: 'paper', strokes: null },
    lineId: 'a',
    name: 'Castellane, Orsolya',
    ballotButton: 2,
    searchText: '',
  },
};

export const RECEIPT = { seq: 9, local_time: '09:14', station: 'Table 1', initials: 'MK' };
