/**
 * The voter's window: opened by a press, told what it may show after every change, and heard
 * where it speaks of the line that stands there now. `makeDoor` is its only way in and out.
 */

import { areStrokes, isOfThisTurn, LANGUAGES, shownToVoter } from '../logic/voter_window.js';

export const voterActs = (makeDoor) => (desk) => {
  const door = makeDoor(heard);
  let turn = 0;
  let lineId = null;
  let told = '';

  const sayings = () =>
    Object.fromEntries(
      LANGUAGES.filter((each) => desk.vocabularies.knows(each, 'voter')).map((each) => [
        each,
        desk.vocabularies.sayingsIn(each),
      ]),
    );

  /** Told only what differs; `isNew` where the window knows nothing yet. */
  function tell(isNew = false) {
    const shown = shownToVoter(desk.state, sayings());
    const text = JSON.stringify(shown);
    if (text === told && !isNew) return;
    told = text;
    door.tell(shown);
  }

  async function open() {
    if (!door.open()) {
      desk.send({ type: 'voter-screen-blocked' });
      return;
    }
    desk.send({ type: 'voter-screen-opened' });
    desk.send({ type: 'voter-turned', turn });
    // A language whose words cannot be had is not offered to the voter.
    const missing = LANGUAGES.filter((each) => !desk.vocabularies.knows(each, 'voter'));
    await Promise.allSettled(missing.map((each) => desk.vocabularies.learn(each, 'voter')));
    tell(true);
  }

  const drew = ({ turn: of, count, strokes }) => {
    if (!Number.isInteger(count) || !areStrokes(strokes)) return;
    // A voter who draws keeps the worker's page open: see logic/lock.js.
    desk.send({ type: 'worker-active', at: desk.now() });
    desk.send({ type: 'voter-drew', turn: of, count });
    desk.send({ type: 'signature-drawn', strokes });
  };

  const HEARD = {
    ready: () => tell(true),
    there: () => door.tell({ what: 'still' }),
    drew: (message) => isOfThisTurn(desk.state, message) && drew(message),
    done: (message) => isOfThisTurn(desk.state, message) && desk.send({ type: 'voter-done' }),
    language: (message) =>
      isOfThisTurn(desk.state, message) && desk.send({ type: 'voter-spoke', language: message.language }),
  };

  function heard(message) {
    if (Object.hasOwn(HEARD, message?.what)) HEARD[message.what](message);
  }

  /** Another line, or the same one opened anew, is another voter. */
  function follow() {
    const { sheet, voter } = desk.state;
    const open = sheet?.lineId ?? null;
    if (open !== lineId) {
      lineId = open;
      turn += 1;
      if (voter) desk.send({ type: 'voter-turned', turn });
    }
    if (voter?.isOpen && !door.isOpen()) desk.send({ type: 'voter-screen-closed' });
    if (door.isOpen()) tell();
  }

  return { follow, effects: { 'voter-screen-wanted': open } };
};
