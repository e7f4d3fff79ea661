/** Late lists and irregularities: loads what their screens show, and writes what is decided. */

import { isStandby } from '../logic/day.js';
import { ROWS_AT_ONCE } from '../logic/late_list.js';
import { touchesLate } from '../logic/late_state.js';

// A long list is read and weighed in one go; the usual time would end too early on a slow laptop.
const LONG_MS = 30_000;
// Several entries come at once: the screen is loaded again once for all of them.
const SOON_MS = 150;
// As many as fit a small finder.
const SHOWN_LINES = 6;
// How much text `fromCharCode` takes at once.
const CHUNK = 0x8000;

async function asBase64(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = '';
  for (let at = 0; at < bytes.length; at += CHUNK) {
    text += String.fromCharCode(...bytes.subarray(at, at + CHUNK));
  }
  return btoa(text);
}

export function lateActs(desk) {
  // The chosen file never enters the state: it is sent again if the list corrects another.
  let file = null;
  // The list that the lead's view leads to: known by its id alone until the lists are here.
  let wantedList = null;
  let reloading = null;

  /** Asks, and sends `type` with what `pick` makes of the answer, or with the problem. */
  async function load(path, type, pick) {
    const answer = await desk.heard(desk.get(path));
    const problem = desk.problemOf(answer);
    if (desk.state.late) desk.send({ type, ...(problem ? { problem } : pick(answer.body)) });
  }

  const loadLists = () => load('/late-lists', 'late-lists-came', ({ lists }) => ({ lists }));

  function openWanted() {
    const list = desk.state.late?.lists?.find((each) => each.list_id === wantedList);
    wantedList = null;
    if (!list || desk.state.late.screen !== 'overview') return;
    if (list.status === 'keying' && !isStandby(desk.state)) desk.send({ type: 'keying-opened', list });
    else desk.send({ type: 'list-wanted', listId: list.list_id, at: desk.now() });
  }

  const loadIrregularities = () =>
    load('/irregularities', 'irregularities-came', (answer) => ({ irregularities: answer }));

  const loadCalls = () =>
    load('/phone-ins', 'calls-came', ({ phone_ins: calls }) => ({ calls }));

  const pagePath = (listId, only, from = 0) =>
    `/late-lists/${listId}?from=${from}&count=${ROWS_AT_ONCE}&only=${only}`;

  /** The list, its open rows and its contradictions together: they must be of one moment. */
  async function loadList(listId) {
    const paths = ['open', 'contradicting'].map((only) => pagePath(listId, only));
    const answers = await Promise.all(paths.map((path) => desk.heard(desk.get(path))));
    const problem = answers.map(desk.problemOf).find(Boolean);
    const at = desk.now();
    if (problem) {
      desk.send({ type: 'list-came', listId, problem, at });
      return;
    }
    const [open, contradicting] = answers.map(({ body }) => ({ rows: body.rows, count: body.rows_count }));
    const answer = { preview: answers[0].body, open, contradicting };
    desk.send({ type: 'list-came', listId, answer, at });
  }

  function loadPage({ only, from }) {
    const { listId } = desk.state.late.list;
    load(pagePath(listId, only, from), 'list-page-came', ({ rows, rows_count: count }) => ({
      only,
      from,
      rows,
      count,
    }));
  }

  const LOADS = {
    overview: loadLists,
    irregularities: loadIrregularities,
    calls: loadCalls,
    list: () => loadList(desk.state.late.list.listId),
    keying: () => desk.loadKeyed(),
  };

  const loadScreen = () => LOADS[desk.state.late?.screen]?.();

  function reloadLate() {
    clearTimeout(reloading);
    reloading = setTimeout(loadScreen, SOON_MS);
  }

  /** Told where the file was brought from: its own screen, or the draft that corrects a list. */
  function notTaken(problem) {
    const { list } = desk.state.late ?? {};
    if (list) desk.send({ type: 'list-came', listId: list.listId, problem, at: desk.now() });
    else desk.send({ type: 'bring-refused', problem });
  }

  /** Sends the chosen file; `corrects` is the list that it corrects, if one was named. */
  async function bring(kind, name, corrects = null) {
    const { screen } = desk.state.late;
    let content;
    try {
      content = await asBase64(file);
    } catch {
      notTaken({ code: 'file-gone' });
      return;
    }
    const body = { form: 'file', kind, name, content_base64: content, corrects };
    const answer = await desk.heard(desk.post('/late-lists', body, { timeoutMs: LONG_MS }));
    const problem = desk.problemOf(answer);
    // Whoever has gone on to something else meanwhile finds the list among the others.
    if (desk.state.late?.screen !== screen) return;
    if (problem) notTaken(problem);
    else {
      const { list, again } = answer.body;
      desk.send({ type: 'list-wanted', listId: list.list_id, isAgain: again, at: desk.now() });
    }
  }

  const forget = () => {
    file = null;
  };

  function bringSubmitted() {
    const { kind, name, isBusy } = desk.state.late.bring;
    if (isBusy) bring(kind, name);
  }

  /** The draft is laid aside, and the same file weighed against the list that it corrects. */
  async function bringAsCorrection() {
    const { list, resembles } = desk.state.late.list.preview;
    if (!file) {
      desk.send({ type: 'late-went', screen: 'bring', at: desk.now() });
      return;
    }
    const path = `/late-lists/${list.list_id}/drop`;
    const answer = await desk.heard(desk.post(path, { reason: '' }));
    if (desk.problemOf(answer)) return;
    await bring(list.kind, list.name, resembles.list_id);
  }

  const onList = (end) => `/late-lists/${desk.state.late.list.listId}/${end}`;

  function decide({ decision }) {
    const { row } = desk.state.late.list;
    desk.write('row-settled', onList(`rows/${row.row_number}/settle`), decision, { lineId: null });
  }

  function decideGone() {
    const { gone, stage, reason } = desk.state.late.list;
    const body = { withdraw: stage === 'withdraw', reason: reason.trim() };
    desk.write('gone-settled', onList(`gone/${gone.line_id}/settle`), body, { lineId: null });
  }

  /** The small finder of a row or a call. */
  async function seek() {
    const { text, asked } = desk.state.late.seek;
    if (!text.trim()) return;
    const answer = await desk.heard(desk.post('/find', { text, limit: SHOWN_LINES }));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'sought-came', asked, problem, answer: problem ? null : answer.body });
  }

  const ofKeying = (end) => `/late-lists/${desk.state.late.keying.listId}/${end}`;

  /** What the one confirmation of each of their dialogs writes. */
  const lateConfirmed = {
    irregularity: ({ why, text, machine, told, done, lineId = null }) => {
      const words = { what: text.trim(), told: told.trim(), done: done.trim() };
      desk.write('irregularity', '/irregularities', { irregularity: why, ...words, line_id: lineId, machine: why === 'machine' ? machine.trim() : '' });
    },
    'settle-irregularity': ({ seq, text }) =>
      desk.write('irregularity-settled', `/irregularities/${seq}/settle`, { how: text.trim() }),
    'undo-row': ({ rowNumber, name, text }, { reason }) =>
      desk.write('row-undone', ofKeying(`rows/${rowNumber}/undo`), { reason: text.trim() || reason }, { name }),
    'finish-list': ({ text }) => desk.write('list-finished', ofKeying('finish'), { reason: text.trim() }),
    'drop-list': ({ listId, text }) =>
      desk.write('list-dropped', `/late-lists/${listId}/drop`, { reason: text.trim() }),
    'unlock-codes': ({ number, text }) => {
      const body = { number_called_back: number.trim(), reason: text.trim() };
      desk.write('unlocked', '/phone-ins/unlock', body);
    },
  };

  return {
    lateConfirmed,
    effects: {
      'proof-asked': ({ listId, language }) =>
        desk.openPaper(`/papers/list-${listId}.pdf?language=${language.slice(0, 2)}`, 'proof-missing'),
      'late-opened': ({ listId }) => {
        wantedList = listId ?? null;
        loadScreen();
      },
      'late-lists-came': openWanted,
      'late-went': loadScreen,
      'late-back': (_, before) => {
        if (desk.state.late?.screen !== before.late?.screen) loadScreen();
      },
      'list-wanted': loadScreen,
      'list-page-wanted': loadPage,
      'bring-file-chosen': (event) => {
        file = event.file;
      },
      'bring-submitted': bringSubmitted,
      'list-corrects': bringAsCorrection,
      'row-decided': decide,
      'gone-decided': decideGone,
      'list-apply-asked': () => desk.write('list-applied', onList('apply'), {}, { lineId: null }),
      'sought-typed': seek,
      'entry-came': ({ entry }) => touchesLate(desk.state, entry) && reloadLate(),
      'write-accepted': () => {
        // A row of a page may wait for the lead; of other lists the answer says it all.
        const { late } = desk.state;
        if (late && (late.screen !== 'keying' || late.keying.person)) reloadLate();
      },
      // Nothing personal outlives the session.
      'signed-off': forget,
      'session-ended': forget,
    },
  };
}
