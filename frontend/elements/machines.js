/** The machines: what was read on each, what of it is doubted, and reading it now. */

import { mayKey } from '../logic/late_state.js';
import { momentsNow } from '../logic/work_form.js';
import { button } from './controls.js';
import { doubtWords } from './doubt_words.js';
import { h } from './paint.js';
import { ruled, stampWords, workAsk } from './work_parts.js';

export function machinesScreen(state, say, send) {
  const came = state.dayWork.machines;
  if (!came) return workAsk(say('way.asking'));
  const { machines, public: sum, signed, off } = came;
  return [
    workAsk(say(machines.length ? 'work.machines-ask' : 'work.no-machines')),
    state.day.phase !== 'not_open' &&
      h('p', { class: off ? 'problem' : 'next', key: 'sum' }, say(off ? 'work.machines-off' : 'work.machines-sum', { ...(off ?? { machines: sum, signed }), n: Math.abs(off?.difference ?? 0) })),
    machines.map((machine) => one(machine, state, say, send)),
  ];
}

const one = (machine, state, say, send) =>
  h(
    'article',
    { class: 'machine', key: machine.serial, 'aria-label': machine.serial },
    h('h4', null, machine.serial),
    machine.protective_in_package !== null && h('p', { class: 'hint' }, say('work.packaged', { count: String(machine.protective_in_package) })),
    machine.readings.length > 0 && readings(machine, say),
    machine.doubts.length > 0 && h('ul', { class: 'flags' }, machine.doubts.map((each) => h('li', { key: each.code }, doubtWords(each, say)))),
    mayKey(state) && h('div', { class: 'buttons' }, momentsNow(state.day).map((moment, place) => readNow(moment, place, machine, say, send)), writeUp(machine, say, send)),
  );

const readNow = (moment, place, { serial, [moment]: read }, say, send) =>
  button(
    say(read ? 'work.read-anew' : `work.read-${moment}`, { serial }),
    (event) => send({ type: 'work-form-opened', kind: 'reading', serial, moment, at: event.timeStamp }),
    { key: moment, focus: place === 0 ? `work-read-${serial}` : null, 'aria-label': say(`moment.${moment}`, { serial }) },
  );

const writeUp = ({ serial }, say, send) =>
  button(say('irregular.write'), () => send({ type: 'dialog-opened', kind: 'irregularity', why: 'machine', machine: serial }), {
    key: 'write-up',
    look: 'quiet',
    'aria-label': say('work.write-up-of', { serial }),
  });

const readings = ({ serial, readings: all }, say) =>
  ruled(
    say('work.readings', { serial }),
    ['when', 'public', 'protective', 'by'].map((column) => say(`work-column.${column}`)),
    all.map((each) => [
      [say(`at.${each.at_moment}`), each.replaced_by !== null && ` ${say('work.replaced')}`],
      String(each.public),
      each.protective === null ? null : String(each.protective),
      [stampWords(each), each.reason].filter(Boolean).join(' · '),
    ]),
  );
