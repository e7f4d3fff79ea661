/** What covers the page of a station that nobody touches: see logic/lock.js. */

import { isStandby } from '../logic/day.js';
import { button, field, problemBox } from './controls.js';
import { languageSwitch, placeTitle } from './header.js';
import { h } from './paint.js';

function submitted(event, { lock, day }, send) {
  event.preventDefault();
  const { initials, pin } = event.target.elements;
  if (lock.isBusy) return;
  const asked = { initials: initials ? initials.value.trim() : day.worker.initials, pin: pin.value };
  const lack = (!asked.initials && 'initials-missing') || (!asked.pin.trim() && 'pin-missing');
  if (lack) send({ type: 'uncover-refused', problem: { code: lack } });
  else send({ type: 'uncover-asked', ...asked });
  pin.value = '';
}

const wordsOf = (state) =>
  !state.connection.isReachable ? 'strip.unreachable' : isStandby(state) ? 'strip.read-only-standby' : 'strip.connected';

/** Whether the server answers, and nothing else: no name may stand over a covered page. */
function connection(state, say) {
  const { isReachable } = state.connection;
  const look = isReachable ? '' : 'alarm';
  return h(
    'section',
    { class: `strip ${look}`, key: 'strip', 'aria-label': say('strip.name') },
    h('p', { key: look, role: look && 'alert' }, say(wordsOf(state))),
  );
}

const focusThis = (input) => input.focus();

/** Nothing of what is beneath is on the page: neither to be seen nor to be searched. */
export function cover(state, say, send) {
  const { lock, day, station } = state;
  const { isOther, isBusy, problem } = lock;
  const facts = { initials: day.worker.initials, station };
  const turn = () => send({ type: 'other-worker-turned' });
  return h(
    'main',
    { class: 'sign-on covered', key: 'covered' },
    languageSwitch(state, say, send),
    placeTitle(state, say),
    connection(state, say),
    h(
      'form',
      { key: `form-${isOther}`, novalidate: true, on: { submit: (event) => submitted(event, state, send) } },
      h('h2', null, say('lock.title')),
      h('p', null, say(isOther ? 'cover.other-who' : 'cover.who', facts)),
      problemBox(say, problem),
      isOther && field(say('signon.initials'), { id: 'initials', name: 'initials', maxlength: '4', required: true, mounted: focusThis }),
      field(say('signon.pin'), {
        id: 'pin',
        name: 'pin',
        type: 'password',
        inputmode: 'numeric',
        maxlength: '12',
        required: true,
        isWrong: Boolean(problem),
        mounted: isOther ? undefined : focusThis,
      }),
      h(
        'div',
        { class: 'buttons' },
        button(say(isBusy ? 'signon.busy' : isOther ? 'signon.press' : 'cover.press'), () => {}, { look: 'primary', type: 'submit', isBusy }),
        button(say(isOther ? 'cover.back' : 'cover.other', facts), turn, { key: 'turn', look: 'quiet' }),
      ),
    ),
  );
}
