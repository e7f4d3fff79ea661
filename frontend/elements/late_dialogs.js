/** The dialogs of late lists, calls and irregularities: each writes one thing down. */

import { isLead } from '../logic/day.js';
import { button } from './controls.js';
import { asked, dialogField, problemBeside } from './dialog_parts.js';
import { close, title } from './dialogs.js';
import { choiceField } from './fields.js';
import { differWords } from './keying.js';
import { h } from './paint.js';

// In the order in which they happen at a table.
const KINDS = ['voter', 'ballot', 'machine', 'seal', 'list', 'observer', 'electioneering', 'emergency', 'place', 'other'];

const who = (name) => name && h('p', { key: 'who' }, h('strong', null, name));

/** How far they must keep off, where the package says it; else whom to ask. */
function distanceWords({ policy, registrar }, say) {
  const feet = policy.electioneering_distance_feet;
  return feet ? say('irregular.distance', { feet, ...registrar }) : say('irregular.distance-unsaid', registrar);
}

/** From anywhere: which kind, what happened, and Enter; who was told can wait. */
export function irregularity(state, say, send) {
  const { dialog: open } = state;
  return asked(state, say, send, {
    heading: say('irregular.write'),
    yes: say('irregular.write-yes'),
    content: [
      who(open.name),
      choiceField(
        say('irregular.about'),
        {
          id: 'dialog-why',
          value: open.why,
          choices: KINDS.map((value) => ({ value, words: say(`irregularity.${value}`) })),
          problem: problemBeside(state, 'why', say),
        },
        (value) => send({ type: 'dialog-typed', field: 'why', text: value }),
      ),
      open.why === 'electioneering' && h('p', { key: 'distance' }, distanceWords(state.day, say)),
      open.why === 'machine' && dialogField(state, say, send, { name: 'machine', label: say('irregular.which-machine'), most: 64 }),
      dialogField(state, say, send, { name: 'text', label: say('irregular.what') }),
      dialogField(state, say, send, { name: 'told', label: say('irregular.who-told') }),
      dialogField(state, say, send, { name: 'done', label: say('irregular.what-done') }),
    ],
  });
}

export const settleIrregularity = (state, say, send) =>
  asked(state, say, send, {
    heading: say('irregular.settle'),
    yes: say('irregular.settle-yes'),
    content: [
      who(state.dialog.name),
      h('p', { key: 'what' }, state.dialog.what),
      dialogField(state, say, send, { name: 'text', label: say('irregular.how-settled'), hint: say('irregular.how-hint') }),
    ],
  });

export const undoRow = (state, say, send) =>
  asked(state, say, send, {
    heading: say('undo.title'),
    yes: say('undo.yes'),
    facts: { reason: say('undo.usual') },
    content: [
      who(state.dialog.name),
      h('p', { key: 'means' }, say('undo.means')),
      dialogField(state, say, send, { name: 'text', label: say('undo.why'), hint: say('undo.why-hint', { usual: say('undo.usual') }) }),
    ],
  });

export const dropList = (state, say, send) =>
  asked(state, say, send, {
    heading: say('listed.drop'),
    yes: say('listed.drop-yes'),
    content: [
      who(state.dialog.name),
      h('p', { key: 'means' }, say('listed.drop-means')),
      dialogField(state, say, send, { name: 'text', label: say('dialog.reason-more') }),
    ],
  });

/** Only when the totals agree, or when the lead says why they do not. */
export function finishList(state, say, send) {
  const { missing } = state.dialog;
  const { list } = state.late.keying;
  const heading = say('keying.finish');
  const counted = h('p', { key: 'count' }, say('keying.count', { count: list.count, total: list.printed_total }));
  if (missing !== 0 && !isLead(state)) {
    return [
      title(heading),
      counted,
      h('p', null, differWords(missing, '', say)),
      h('div', { class: 'buttons' }, button(say('dialog.back'), close(send), { key: 'back', look: 'primary' })),
    ];
  }
  return asked(state, say, send, {
    heading,
    yes: say('keying.finish-yes'),
    content: [
      counted,
      h('p', { key: 'means' }, missing === 0 ? say('keying.totals-agree') : differWords(missing, '-reason', say)),
      missing !== 0 && dialogField(state, say, send, { name: 'text', label: say('keying.why-differ') }),
    ],
  });
}

export const unlockCodes = (state, say, send) =>
  asked(state, say, send, {
    heading: say('call.unlock'),
    yes: say('call.unlock-yes'),
    content: [
      h('p', { key: 'means' }, say('call.locked-what', state.day.registrar)),
      dialogField(state, say, send, { name: 'number', label: say('call.number_called_back'), most: 40 }),
      dialogField(state, say, send, { name: 'text', label: say('call.unlock-why') }),
    ],
  });
