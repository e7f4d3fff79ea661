/** Hours on paper: loads them, looks up whom a row is about, and writes what is keyed. */

import { SHOWN_LINES } from '../logic/keying.js';
import { bodyOf as formBody, isComplete } from '../logic/paper_forms.js';
import { touchesHours } from '../logic/paper_hours.js';
import { bodyOf, nameOf } from '../logic/paper_row.js';

// Several entries come at once: the rows are loaded again once for all of them.
const SOON_MS = 150;

export function paperHoursActs(desk) {
  let reloading = null;

  const hours = () => desk.state.paperHours;
  const row = () => hours()?.row;

  async function load() {
    const answer = await desk.heard(desk.get('/paper'));
    const problem = desk.problemOf(answer);
    if (hours()) desk.send({ type: 'hours-came', answer: problem ? null : answer.body, problem, at: desk.now() });
  }

  function reloadSoon() {
    clearTimeout(reloading);
    reloading = setTimeout(() => hours() && load(), SOON_MS);
  }

  const write = (what, path, body, name = '') =>
    desk.write(what, `/paper/${path}`, body, { lineId: null, name, hoursOpenedAt: hours().openedAt, at: desk.now() });

  async function lookUp() {
    const { text, asked } = row();
    const answer = await desk.heard(desk.post('/find', { text: text.trim(), limit: SHOWN_LINES }));
    const problem = desk.problemOf(answer);
    if (row()) desk.send({ type: 'hours-found', asked, answer: problem ? null : answer.body, problem, at: desk.now() });
  }

  /** What stands on the line that is shown: the second Enter counts only once it is known. */
  async function loadShown() {
    const { stage, shown } = row() ?? {};
    if (stage !== 'shown' || shown.line) return;
    const lineId = shown.match.line_id;
    const answer = await desk.heard(desk.get(`/lines/${lineId}`));
    const problem = desk.problemOf(answer);
    if (!row()) return;
    const line = problem ? null : { line: answer.body.line, state: answer.body.state, lookAlikes: answer.body.look_alikes };
    desk.send({ type: 'hours-line-came', lineId, problem, answer: line });
  }

  /** Whatever made the row ready to be sent, it is sent once. */
  function writeRow(_, before) {
    const now = row();
    if (!now?.isSending || before.paperHours?.row?.isSending) return;
    const path = now.settles ? `rows/${now.settles.number}/settle` : 'caught-up';
    write('paper-row', path, bodyOf(now), nameOf(now));
  }

  function entered(event, before) {
    if (row()?.stage === 'looking' && before.paperHours.row?.stage !== 'looking') lookUp();
    writeRow(event, before);
  }

  function writeForm({ usual }) {
    const { form } = hours() ?? {};
    if (!form || !isComplete(form) || desk.state.pending) return;
    const { kind, subject } = form;
    const path = { begin: 'begin', finish: 'finish', undo: `rows/${subject?.number}/undo` }[kind];
    write({ begin: 'paper-begun', finish: 'paper-finish', undo: 'paper-undo' }[kind], path, formBody(form, usual), subject?.name ?? '');
  }

  return {
    effects: {
      'paper-hours-opened': load,
      'hours-again': load,
      'hours-entered': entered,
      'hours-place-entered': entered,
      'hours-found': loadShown,
      'hours-digit': loadShown,
      'hours-answered': writeRow,
      'hours-helper-submitted': writeRow,
      'hours-why-submitted': writeRow,
      'hours-twice-meant': writeRow,
      'hours-person-submitted': writeRow,
      'hours-form-submitted': writeForm,
      'hours-begun-anyway': writeForm,
      'hours-print-asked': ({ language }) =>
        desk.openPaper(`/papers/register-now.pdf?language=${language.slice(0, 2)}`, 'hours-print-missing'),
      'write-refused': ({ problem }) => hours() && problem.code === 'paper-begun-already' && load(),
      // The server is back: whoever waits for the first answer gets it now.
      'asked-again': () => hours()?.screen === 'asking' && load(),
      'entry-came': ({ entry }) => touchesHours(desk.state, entry) && reloadSoon(),
    },
  };
}
