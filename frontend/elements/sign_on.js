/** The first view: who works at this station. The PIN never leaves the form but to the server. */

import { cautionWords } from '../logic/coded.js';
import { isWrongField, signOnLack } from '../logic/sign_on.js';
import { button, field, problemBox } from './controls.js';
import { languageSwitch, placeTitle, strip } from './header.js';
import { h } from './paint.js';

function submitted(event, state, send) {
  event.preventDefault();
  const form = event.target;
  const { initials, pin, station } = form.elements;
  if (state.signOn.isBusy) return;
  const lack = signOnLack({ initials: initials.value, pin: pin.value, station: station.value });
  if (lack) {
    // Perhaps it is one: it must not stay in sight.
    if (lack.code === 'station-like-pin') station.value = '';
    send({ type: 'sign-on-lacking', lack });
    return;
  }
  send({
    type: 'sign-on-asked',
    initials: initials.value.trim(),
    pin: pin.value,
    station: station.value.trim(),
  });
  pin.value = '';
}

/** `overSignOn`: what a part of the page has to tell before anybody signs on, by its name. */
export function signOn(state, say, send, { strips, overSignOn }) {
  const { problem, isBusy } = state.signOn;
  const isWrong = (id) => isWrongField(problem, id);
  return h(
    'main',
    { class: 'sign-on', key: 'sign-on' },
    languageSwitch(state, say, send),
    placeTitle(state, say),
    strip(state, say, strips),
    ...Object.values(overSignOn).map((told) => told(state, say)),
    h(
      'form',
      { novalidate: true, on: { submit: (event) => submitted(event, state, send) } },
      h('h2', null, say('signon.title')),
      problemBox(say, problem),
      field(say('signon.initials'), { id: 'initials', name: 'initials', maxlength: '4', required: true, isWrong: isWrong('initials') }),
      field(say('signon.pin'), { id: 'pin', name: 'pin', type: 'password', inputmode: 'numeric', maxlength: '12', required: true, isWrong: isWrong('pin') }),
      field(say('signon.station'), {
        id: 'station',
        name: 'station',
        maxlength: '40',
        required: true,
        isWrong: isWrong('station'),
        hint: say('signon.station-hint'),
        mounted: (input) => {
          input.value = state.station;
        },
      }),
      button(say(isBusy ? 'signon.busy' : 'signon.press'), () => {}, {
        look: 'primary',
        type: 'submit',
        isBusy,
      }),
    ),
    h('p', { class: 'caution' }, cautionWords(say, state.day.policy?.caution)),
  );
}
