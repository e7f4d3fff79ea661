/** On the open line: what the voter's window shows, and in which language. */

import { isForVoter, LANGUAGES, voterLanguage } from '../logic/voter_window.js';
import { button } from './controls.js';
import { h } from './paint.js';

const wanted = (say, send) =>
  button(say('signing.voter'), () => send({ type: 'voter-screen-wanted' }), { key: 'voter', look: 'quiet' });

export function voterPanel(state, say, send) {
  const { voter } = state;
  if (!voter?.isOpen) {
    return [
      wanted(say, send),
      voter?.isBlocked && h('p', { class: 'problem', role: 'alert', key: 'voter-blocked' }, say('voter.blocked')),
    ];
  }
  return h(
    'div',
    { class: 'voter-panel', key: 'voter-panel', role: 'group', 'aria-label': say('voter.window') },
    h('p', { key: 'told' }, toldWords(state, say)),
    h(
      'div',
      { class: 'buttons', key: 'buttons' },
      LANGUAGES.map((language) =>
        button(say(`language.${language}`), () => send({ type: 'voter-spoke', language }), {
          key: language,
          lang: language,
          'aria-pressed': String(voterLanguage(state) === language),
          'aria-label': say('voter.shown-in', { language: say(`language.${language}`) }),
        }),
      ),
      wanted(say, send),
    ),
    h('p', { class: 'hint', key: 'law' }, say('voter.law')),
  );
}

function toldWords(state, say) {
  if (!isForVoter(state)) return say('voter.shows-nobody');
  const language = say(`language.${voterLanguage(state)}`);
  if (state.voter.isDone) return h('strong', null, say('voter.said-done'));
  return say('voter.shows-line', { language });
}
