/** The lead's screen of further stations, sign-ons, PINs and the door. */

import { inGroups, pinsToSee, secondLaptop } from '../logic/stations.js';
import { button, field, problemBox } from './controls.js';
import { h } from './paint.js';

export function stations(state, say, send) {
  const { stations: open } = state;
  const { list, asking, problem } = open;
  return h(
    'section',
    { class: 'stations', key: 'stations', 'aria-labelledby': 'stations-title' },
    button(say('stations.back'), () => send({ type: 'stations-left' }), { look: 'quiet', 'aria-keyshortcuts': 'Escape' }),
    h('h2', { id: 'stations-title', tabindex: '-1', 'data-focus': 'stations' }, say('stations.title')),
    !asking && problemBox(say, problem, { isKept: false }),
    list === null
      ? h('p', { key: 'loading' }, say('stations.loading'))
      : [
          list.refused.length > 0 && door(open, say, send),
          further(open, say, send),
          state.day.may_be_followed && follower(state, say, send),
          signedOn(open, say, send),
          pins(open, say, send),
        ],
  );
}

const part = (name, say, ...content) =>
  h('div', { class: 'list', key: name }, h('h3', null, say(`stations.${name}`)), content);

function further(open, say, send) {
  const { url, fingerprint, stations: all } = open.list;
  if (!url) return part('further', say, h('p', null, say('stations.closed')));
  return part(
    'further',
    say,
    h('p', null, say('stations.open-there'), ' ', h('strong', { class: 'number' }, url)),
    h('p', null, say('stations.fingerprint')),
    h('p', { class: 'fingerprint' }, h('code', null, fingerprint)),
    code(open, say, send),
    all.length === 0
      ? h('p', { class: 'hint', key: 'none' }, say('stations.none'))
      : table(
          ['name', 'address', 'since', 'do'],
          all.map((each) => [each.station_id, each.name, each.address, each.local_time, standing(each, open, say, send)]),
          say,
        ),
  );
}

/** Read out or read off: shown large, in two groups, for as long as it is good. */
function code({ code: made, isBusy }, say, send) {
  return h(
    'div',
    { class: 'code', key: 'code' },
    made &&
      h(
        'p',
        { tabindex: '-1', 'data-focus': 'code', 'aria-label': `${say('stations.code')} ${[...made.text].join(' ')}` },
        h('span', null, say('stations.code')),
        h('strong', null, inGroups(made.text)),
      ),
    made && h('p', { class: 'hint' }, say('stations.code-means')),
    button(say(made ? 'stations.other-code' : 'stations.new-code'), () => send({ type: 'code-wanted' }), { isBusy, key: 'new' }),
  );
}

/** The command is typed on the second laptop: shown whole, for as long as its code is good. */
function follower({ stations: { follow: made, isBusy }, day }, say, send) {
  const follows = secondLaptop(day);
  return part(
    'second-laptop',
    say,
    h('p', { key: 'stands' }, say(secondKey(follows))),
    h('p', { class: 'hint', key: 'means' }, say('stations.follow-means')),
    made &&
      h(
        'div',
        { class: 'command', key: 'command', tabindex: '-1', 'data-focus': 'follow' },
        h('p', null, say('stations.follow-type')),
        h('p', null, h('code', null, made.command)),
        h('p', { class: 'hint' }, say('stations.follow-good', { n: made.minutes })),
      ),
    h(
      'div',
      { class: 'buttons', key: 'buttons' },
      button(say(made ? 'stations.follow-another' : 'stations.follow'), () => send({ type: 'follow-wanted' }), { isBusy, key: 'follow' }),
    ),
  );
}

function secondKey(follows) {
  if (!follows) return 'stations.second-none';
  return follows.state === 'in-step' ? 'stations.second-in-step' : 'stations.second-apart';
}

function standing(each, open, say, send) {
  if (each.is_revoked) return h('strong', null, say('stations.is-out'));
  if (each.is_here) return say('stations.is-here');
  const asking = { what: 'revoke', id: each.station_id, name: each.name };
  return twice(asking, open, say, send, { label: say('stations.revoke') });
}

const signedOn = (open, say, send) =>
  part(
    'signed-on',
    say,
    table(
      ['who', 'name', 'since', 'do'],
      open.list.sign_ons.map((each) => [
        each.seq,
        `${each.initials} · ${each.name}`,
        each.station,
        each.is_covered ? `${each.local_time} · ${say('stations.covered')}` : each.local_time,
        twice({ what: 'end', id: each.seq, name: each.initials }, open, say, send, { label: say('stations.end') }),
      ]),
      say,
    ),
  );

function pins(open, say, send) {
  const seen = pinsToSee(open.list);
  if (!seen.length) return part('pins', say, h('p', { class: 'hint' }, say('stations.no-pins')));
  return part(
    'pins',
    say,
    table(
      ['who', 'wrong', 'do'],
      seen.map((each) => [
        each.worker_id,
        `${each.initials} · ${each.name}`,
        each.is_locked ? h('strong', null, say('stations.locked', { n: each.wrong })) : say('stations.tries', { n: each.wrong }),
        twice({ what: 'unlock', id: each.worker_id, name: each.initials }, open, say, send, { label: say('stations.unlock') }),
      ]),
      say,
    ),
  );
}

/** A press asks, and a second one does it; unlocking asks for the lead's own PIN. */
function twice(asking, { asking: asked, isBusy, problem }, say, send, { label }) {
  const isAsked = asked?.what === asking.what && asked.id === asking.id;
  if (!isAsked) {
    const ask = () => send({ type: 'station-asked', asking });
    return button(label, ask, { look: 'quiet', key: 'ask', 'aria-label': `${label}: ${asking.name}` });
  }
  const needsPin = asking.what === 'unlock';
  const submitted = (event) => {
    event.preventDefault();
    const { pin } = event.target.elements;
    if (isBusy || (needsPin && !pin.value.trim())) return;
    send({ type: 'station-said', ...(needsPin && { pin: pin.value }) });
    if (needsPin) pin.value = '';
  };
  return h(
    'form',
    { class: 'asking', key: 'asking', novalidate: true, on: { submit: submitted } },
    h('p', { tabindex: '-1', 'data-focus': needsPin ? null : 'asking' }, say(`stations.${asking.what}-ask`, { name: asking.name })),
    problemBox(say, problem, { isKept: false }),
    needsPin &&
      field(say('stations.own-pin'), {
        id: 'asking',
        name: 'pin',
        type: 'password',
        inputmode: 'numeric',
        maxlength: '12',
        required: true,
        isWrong: Boolean(problem),
      }),
    h(
      'div',
      { class: 'buttons' },
      button(say('stations.no'), () => send({ type: 'station-not-asked' }), { key: 'no' }),
      button(say(`stations.${asking.what}-yes`), () => {}, { key: 'yes', look: 'primary', type: 'submit', isBusy }),
    ),
  );
}

function door({ list, isBusy }, say, send) {
  return part(
    'door',
    say,
    table(
      ['what', 'times', 'address', 'since'],
      list.refused.map((each) => [each.seq, say(`door.${each.refused}`), say('stations.n', { n: each.count }), from(each, say), each.local_time]),
      say,
    ),
    h('p', { class: 'hint' }, say('stations.door-means')),
    h('div', { class: 'buttons' }, button(say('stations.seen'), () => send({ type: 'door-looked-at' }), { isBusy })),
  );
}

const from = ({ address, addresses }, say) =>
  addresses > 1 ? say('stations.addresses', { address, n: addresses - 1 }) : address;

/**
 * A table whose cells carry their column's name, so that it can stand upright in a narrow window.
 * A row begins with what tells it from the others: what is typed in it stays when one comes before it.
 */
const table = (names, rows, say) => {
  const columns = names.map((name) => say(`stations.column-${name}`));
  return h(
    'table',
    null,
    h('thead', null, h('tr', null, columns.map((words) => h('th', { scope: 'col' }, words)))),
    h(
      'tbody',
      null,
      rows.map(([key, ...cells]) =>
        h('tr', { key }, cells.map((cell, place) => h('td', { 'data-column': columns[place] }, cell || '–'))),
      ),
    ),
  );
};
