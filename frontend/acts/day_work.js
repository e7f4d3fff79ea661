/** The opening and the close: loads what their screens show, and writes what was checked and read. */

import { LINES_AT_ONCE } from '../logic/balance.js';
import { isToTick } from '../logic/checks.js';
import { touchesWork } from '../logic/day_work.js';
import { lacksOf, writeOf } from '../logic/work_form.js';
import { countsPaper } from '../logic/work_state.js';

// Several entries come at once: the screen is loaded again once for all of them.
const SOON_MS = 150;
// The causes are looked for among every line of the day; every paper is made for the hand-over.
const LONG_MS = 30_000;

export function dayWorkActs(desk) {
  let reloading = null;

  async function load(screen, path, pick) {
    const answer = await desk.heard(desk.get(path, { timeoutMs: LONG_MS }));
    const problem = desk.problemOf(answer);
    if (desk.state.dayWork) desk.send({ type: 'work-came', screen, ...(problem ? { problem } : { answer: pick(answer.body) }) });
  }

  const asItCame = (body) => body;

  async function loadCounts() {
    const answer = await desk.heard(desk.get('/ballots-counted'));
    if (answer && !desk.problemOf(answer)) desk.send({ type: 'work-counts-came', counts: answer.body });
  }

  const LOADS = {
    opening: () => load('opening', '/checklists/opening', asItCame),
    closing: () => load('closing', '/checklists/closing', asItCame),
    machines: () => load('machines', '/machines', (machines) => ({ machines })),
    seals: () => load('seals', '/seals', (seals) => ({ seals })),
    balance: () => {
      load('balance', '/reconciliation', asItCame);
      if (countsPaper(desk.state)) loadCounts();
    },
  };

  const loadScreen = () => LOADS[desk.state.dayWork?.screen]?.();

  function reloadSoon() {
    clearTimeout(reloading);
    reloading = setTimeout(loadScreen, SOON_MS);
  }

  const write = (what, path, body, facts = {}) =>
    desk.write(what, path, body, {
      lineId: null,
      name: '',
      workOpenedAt: desk.state.dayWork.openedAt,
      at: desk.now(),
      ...facts,
    });

  function writeTick(code, passed, note) {
    const { screen: stage } = desk.state.dayWork;
    write('tick', `/checklists/${stage}`, { code, passed, note }, { stage });
  }

  /** Pressed again, a check that is right writes nothing: the page has only gone on. */
  const tick = ({ code }, before) => {
    if (isToTick(before, code)) writeTick(code, true, '');
  };

  function writeWrong() {
    const { failing } = desk.state.dayWork ?? {};
    if (failing?.note.trim()) writeTick(failing.code, false, failing.note.trim());
  }

  function writeForm() {
    const { form } = desk.state.dayWork ?? {};
    if (!form || lacksOf(form, desk.state.day).length) return;
    const { path, body } = writeOf(form, desk.state.day);
    write('work-form', path, body);
  }

  const writeReasoned = () => {
    if (desk.state.dayWork?.form?.reason.trim()) writeForm();
  };

  /** The names that belong to the lines of a cause: the balance itself carries none. */
  async function loadPeople() {
    const { cause } = desk.state.dayWork ?? {};
    if (!cause?.lines.length) return;
    const shown = cause.lines.slice(0, LINES_AT_ONCE);
    const answers = await Promise.all(shown.map((lineId) => desk.heard(desk.get(`/lines/${lineId}`))));
    if (answers.some(desk.problemOf)) return;
    const people = answers.map(({ body }, place) => ({ lineId: shown[place], name: body.line.name, signed: body.state.signature }));
    desk.send({ type: 'cause-people-came', people });
  }

  /** The list that a cause names, on its own screen; among the others where it is not found. */
  async function openList({ name, kind }) {
    const answer = await desk.heard(desk.get('/late-lists'));
    if (!answer || desk.problemOf(answer)) return;
    const list = answer.body.lists.find((each) => each.name === name && each.kind === kind);
    desk.send({ type: 'late-opened', at: desk.now(), listId: list?.list_id });
  }

  const openPaper = ({ path, language }) => desk.openPaper(`/papers/${path}?language=${language.slice(0, 2)}`, 'paper-missing');

  async function handOver() {
    const language = desk.state.language.slice(0, 2);
    const answer = await desk.heard(desk.post('/day/hand-over', { language }, { timeoutMs: LONG_MS }));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'handed-over', ...(problem ? { problem } : { answer: answer.body }) });
  }

  /** Open: the table is needed now. */
  function accepted(_, before) {
    if (before.pending?.path === '/day/open' && desk.state.dayWork) desk.send({ type: 'work-left' });
    reloadSoon();
  }

  return {
    effects: {
      'work-opened': loadScreen,
      'work-went': loadScreen,
      'check-ticked': tick,
      'check-wrong-submitted': writeWrong,
      'work-submitted': writeForm,
      'work-reason-submitted': writeReasoned,
      'cause-opened': loadPeople,
      'cause-list-wanted': openList,
      'paper-asked': openPaper,
      'hand-over-asked': (_, before) => !before.dayWork?.handed?.isBusy && handOver(),
      'entry-came': ({ entry }) => touchesWork(desk.state, entry) && reloadSoon(),
      'write-accepted': accepted,
    },
  };
}
