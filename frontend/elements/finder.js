/** The one box, and the lines that fit as ruled lines of a register page. */

import { cautionWords, problemWords, whyWords } from '../logic/coded.js';
import { isStandby } from '../logic/day.js';
import { boxText, countWords, hasText, isNothingFound, LINE_BREAK } from '../logic/search.js';
import { isOnItsWay } from '../logic/sheet.js';
import { button } from './controls.js';
import { h } from './paint.js';

const ROW = (place) => `row-${place}`;
// A scanner may send a line break as Ctrl+J or Ctrl+M; the browser would open something.
const isTypedLineBreak = (event) => event.ctrlKey && ['j', 'm'].includes(event.key.toLowerCase());

function keyDown(event, send) {
  const { key, timeStamp: at, repeat } = event;
  const acts = {
    ArrowDown: { type: 'highlight-moved', by: 1 },
    ArrowUp: { type: 'highlight-moved', by: -1 },
    Enter: { type: 'enter-pressed', at, repeat },
    Escape: { type: 'escape-pressed' },
  };
  if (isTypedLineBreak(event)) {
    event.preventDefault();
    send({ type: 'typed', text: event.target.value + LINE_BREAK, at });
  } else if (acts[key] && !event.isComposing) {
    event.preventDefault();
    send(acts[key]);
  }
}

function pasted(event, send) {
  const text = event.clipboardData.getData('text');
  if (!/[\r\n]/.test(text)) return;
  event.preventDefault();
  send({ type: 'typed', text: boxText(text), at: event.timeStamp });
}

/** The box stays on the page while a sheet is open: typing in it goes on to the next voter. */
export function box(state, say, send) {
  const { search, sheet } = state;
  const isList = !sheet && search.matches.length > 0;
  return h(
    'div',
    { class: 'box', key: 'box' },
    h('label', { for: 'who-is-there' }, say('finder.label')),
    h('span', { class: 'hint', id: 'box-hint' }, say('finder.hint')),
    h('input', {
      id: 'who-is-there',
      type: 'text',
      role: 'combobox',
      autocomplete: 'off',
      autocapitalize: 'off',
      spellcheck: 'false',
      enterkeyhint: 'search',
      'data-focus': 'box',
      'aria-autocomplete': 'list',
      'aria-expanded': String(isList),
      'aria-controls': 'lines',
      'aria-activedescendant': isList && search.highlighted !== null ? ROW(search.highlighted) : null,
      'aria-describedby': 'box-hint',
      props: { value: search.text },
      on: {
        input: (event) => send({ type: 'typed', text: event.target.value, at: event.timeStamp }),
        keydown: (event) => keyDown(event, send),
        paste: (event) => pasted(event, send),
      },
    }),
  );
}

export function results(state, say, send) {
  const { search } = state;
  return h(
    'section',
    { class: 'register', key: 'register', 'aria-label': say('finder.lines') },
    h(
      'div',
      { class: 'columns', 'aria-hidden': 'true' },
      h('span', null, ''),
      ['finder.name', 'finder.address', 'finder.number', 'finder.outcome'].map((key) =>
        h('span', null, say(key)),
      ),
    ),
    h(
      'ul',
      { id: 'lines', role: 'listbox', 'aria-label': say('finder.lines'), hidden: isNothingFound(search) },
      search.matches.map((match, place) => row(match, place, state, say, send)),
    ),
    h('div', { class: 'below' }, below(state, say, send)),
  );
}

const row = (match, place, state, say, send) => {
  const isPending = isOnItsWay(state, match.line_id);
  return h(
    'li',
    {
      id: ROW(place),
      key: match.line_id,
      role: 'option',
      class: `row ${match.outcome}`,
      'aria-selected': String(state.search.highlighted === place),
      'aria-keyshortcuts': `Alt+${place + 1}`,
      on: { click: () => send({ type: 'row-chosen', lineId: match.line_id }) },
    },
    h('span', { class: 'digit', 'aria-hidden': 'true' }, String(place + 1)),
    h('span', { class: 'name' }, match.name),
    h('span', { class: 'address' }, match.address_protected ? say('note.protected') : match.address),
    h('span', { class: 'number' }, match.voter_number),
    isPending
      ? h('span', { class: 'outcome pending' }, say('finder.not-recorded-yet'))
      : h('span', { class: `outcome ${match.outcome}` }, say(`outcome.${outcomeHere(match, state)}`)),
    h('span', { class: 'notes' }, notes(match, say)),
  );
};

/** Where nothing is recorded a row must not read as if the voter could sign in front of it. */
const outcomeHere = ({ outcome }, state) => (outcome === 'sign' && isStandby(state) ? 'there' : outcome);

const notes = (match, say) =>
  [
    match.look_alikes > 0 && h('strong', null, say('finder.look-alikes', { n: match.look_alikes })),
    match.part !== 'register' && h('strong', null, say(`part.${match.part}`)),
    ...whyWords(say, match).map((words) => h('span', null, words)),
  ].filter(Boolean);

/** Beneath the lines: how many fit, what was not used, and what to do when nothing fits. */
function below(state, say, send) {
  const { search } = state;
  if (search.problem) {
    const { title, next } = problemWords(say, search.problem);
    return h('p', null, title, next && ` ${next}`);
  }
  if (!hasText(search)) return h('p', null, say('finder.start'));
  const ignored =
    search.ignored.length > 0 &&
    h('p', null, say('finder.ignored', { ignored: search.ignored.map((each) => ignoredWords(say, each)) }));
  if (search.matches.length) {
    const [key, facts] = countWords(search);
    return [
      ignored,
      h(
        'p',
        { class: search.mustChoose ? 'choose' : null },
        say(key, facts),
        search.fits > 1 && search.askFor && ` ${say(`ask-for.${search.askFor}`)}`,
      ),
      !isStandby(state) && button(say('finder.none-of-these'), lost(send), { look: 'quiet', key: 'none' }),
    ];
  }
  return isNothingFound(search) ? [nothingFound(state, say, send), ignored] : null;
}

// Of a scanned card the server names the facts that no line has, and none of the card's words.
const CARD_FACTS = ['last name', 'first name', 'middle name', 'suffix', 'birth date', 'licence'];
const PART = 'part of the ';

function ignoredWords(say, ignored) {
  const fact = ignored.startsWith(PART) ? ignored.slice(PART.length) : ignored;
  if (!CARD_FACTS.includes(fact)) return ignored;
  const words = say(`card.${fact.replace(' ', '-')}`);
  return fact === ignored ? words : say('finder.part-of', { words });
}

const lost = (send) => (event) => send({ type: 'lost-opened', at: event.timeStamp });

/** What to try first, and the way on from there: nobody is sent away unheard. */
const nothingFound = (state, say, send) =>
  h(
    'div',
    { class: 'nothing' },
    h('h2', null, say('finder.nothing')),
    h('p', null, say(isStandby(state) ? 'finder.elsewhere' : 'finder.try-spelling')),
    !isStandby(state) && button(say('finder.way-on'), lost(send), { look: 'primary', key: 'way-on' }),
    h('p', { class: 'hint' }, say('finder.supplemental-searched')),
    h('p', { class: 'caution' }, cautionWords(say, state.day.policy?.caution)),
  );
