/** Keying in a list on paper: looks up what stands in the box, loads what is shown, writes rows. */

import { SHOWN_LINES, startLacks } from '../logic/keying.js';

// The last rows are enough: the box never shows more.
const ROWS_SHOWN = 50;

export function keyingActs(desk) {
  const keying = () => desk.state.late?.keying;

  async function lookUp() {
    const { text, asked } = keying();
    const answer = await desk.heard(desk.post('/find', { text: text.trim(), limit: SHOWN_LINES }));
    const problem = desk.problemOf(answer);
    const found = problem ? null : answer.body;
    if (keying()) desk.send({ type: 'keying-found', asked, answer: found, problem, at: desk.now() });
  }

  /** What stands on the line that is shown: a second Enter counts only once it is known. */
  async function loadShown() {
    const { stage, shown } = keying() ?? {};
    if (stage !== 'shown' || !shown.match || shown.line) return;
    const lineId = shown.match.line_id;
    const answer = await desk.heard(desk.get(`/lines/${lineId}`));
    const problem = desk.problemOf(answer);
    if (!keying()) return;
    const line = problem ? null : { line: answer.body.line, state: answer.body.state, lookAlikes: answer.body.look_alikes };
    desk.send({ type: 'keying-line-came', lineId, problem, answer: line });
  }

  function entered(_, before) {
    const { stage, sending } = keying() ?? {};
    if (stage === 'looking' && before.late.keying.stage !== 'looking') lookUp();
    if (sending && !before.late.keying.sending) writeRow();
  }

  const isNumber = (text) => /^\d[\d\s-]*$/.test(text);

  function writeRow() {
    const { sending, listId } = keying();
    const path = (end) => `/late-lists/${listId}/${end}`;
    if (sending.isNone) {
      const { text } = sending;
      const body = isNumber(text) ? { number: text, name: '' } : { number: '', name: text };
      desk.write('row-keyed', path('not-found'), body, { listId, name: text, lineId: null });
      return;
    }
    const { line_id: lineId, name, birth_date: birthDate } = sending.match;
    const body = { line_id: lineId, twice: sending.isTwice };
    desk.write('row-keyed', path('keyed'), body, { listId, name, birthDate, lineId: null });
  }

  function start() {
    const { start: typed } = desk.state.late ?? {};
    if (!typed || Object.keys(startLacks(typed)).length) return;
    const { kind, name, total } = typed;
    const body = { form: 'paper', kind, name: name.trim(), printed_total: Number(total) };
    desk.write('paper-started', '/late-lists', body, { lineId: null });
  }

  async function loadKeyed() {
    const { listId, list } = keying();
    const from = Math.max(0, list.tally.rows - ROWS_SHOWN);
    const path = `/late-lists/${listId}?from=${from}&count=${2 * ROWS_SHOWN}&only=`;
    const answer = await desk.heard(desk.get(path));
    if (!desk.problemOf(answer) && keying()) {
      const { list: newest, rows } = answer.body;
      desk.send({ type: 'keying-rows-came', listId, answer: { list: newest, rows } });
    }
  }

  return {
    loadKeyed,
    effects: {
      'keying-opened': loadKeyed,
      'keying-entered': entered,
      'keying-found': loadShown,
      'keying-digit': loadShown,
      'start-submitted': start,
    },
  };
}
