/**
 * The way of a person whom no line fits: asks the rules and the other precincts, and writes
 * down how it ends, or who helps the voter.
 */

import { affidavitBody, directedBody, provisionalBody } from '../logic/ending.js';
import { helperBody } from '../logic/helper.js';
import { howSigned } from '../logic/strokes.js';
import { closestLines, isSpelledAnew, touchesWay } from '../logic/way.js';
import { formNow } from '../logic/way_state.js';
import { markBody } from '../logic/witness.js';

// Between two keys of somebody who types: only the last of them is asked about.
const TYPING_MS = 150;
// Beside as many of the rules' own suggestions: each gets a number of one digit.
const SHOWN_LINES = 4;

export function wayActs(desk) {
  let typingTimer = null;

  async function askWay() {
    desk.send({ type: 'way-asked' });
    const { asked, situation, typed, scanned, openedAt } = desk.state.way;
    const [answer, fitting] = await Promise.all([
      desk.heard(desk.post('/ways-out', { situation, typed: typed || scanned })),
      findSpelled(desk.state),
    ]);
    if (desk.state.way?.openedAt !== openedAt) return;
    const problem = desk.problemOf(answer);
    if (problem) {
      desk.send({ type: 'way-failed', asked, problem });
      return;
    }
    const suggestions = closestLines(fitting, answer.body.suggestions);
    desk.send({ type: 'way-came', asked, answer: { ...answer.body, suggestions }, at: desk.now() });
  }

  /** The lines that fit what is spelled now; those that the box found were somebody else's. */
  async function findSpelled({ way, search }) {
    if (!isSpelledAnew(way, search)) return [];
    const answer = await desk.heard(desk.post('/find', { text: way.typed, limit: SHOWN_LINES }));
    return desk.problemOf(answer) ? [] : answer.body.matches;
  }

  /** The list of the other precincts is searched as soon as its question is asked. */
  function searchWhenAsked() {
    const { way, day } = desk.state;
    if (way?.question?.code !== 'where-registered' || way.elsewhere.asked) return;
    if (day.has_elsewhere && way.elsewhere.text.trim()) searchElsewhere();
  }

  async function searchElsewhere() {
    if (!desk.state.way) return;
    desk.send({ type: 'elsewhere-searched' });
    const { text, asked } = desk.state.way.elsewhere;
    if (!text.trim()) return;
    const answer = await desk.heard(desk.post('/elsewhere/find', { text }));
    const problem = desk.problemOf(answer);
    desk.send({ type: 'elsewhere-came', asked, problem, answer: problem ? null : answer.body });
  }

  const whenTyped = (act) => () => {
    clearTimeout(typingTimer);
    typingTimer = setTimeout(act, TYPING_MS);
  };

  /** What the rules say of an affidavit as it is filled in; nothing is recorded. */
  async function checkForm() {
    desk.send({ type: 'form-asked' });
    const { way } = desk.state;
    const body = affidavitBody(way, formNow(way));
    const answer = await desk.heard(desk.post('/correction-affidavits/check', body));
    if (desk.state.way?.openedAt !== way.openedAt) return;
    const problem = desk.problemOf(answer);
    if (problem) desk.send({ type: 'form-check-refused', problem });
    else desk.send({ type: 'form-checked', answer: answer.body, at: desk.now() });
  }

  /** Whatever a change of the way has made due. */
  function followWay(before) {
    const { way } = desk.state;
    if (way === before.way) return;
    if (way?.isDue && way.isBusy) askWay();
    if (formNow(way ?? { forms: {} })?.isDue) checkForm();
  }

  function recordHelper() {
    const { helper } = desk.state.sheet;
    desk.write('assistance', desk.onLine('assistance'), { ...helperBody(helper), ...howSigned(helper.strokes) });
  }

  /** A mark takes the place of the signature, and is recorded and confirmed as one. */
  function recordMark() {
    const { sheet } = desk.state;
    const facts = { ballotButton: sheet.verdict.ballot_button };
    desk.write('signature', desk.onLine('signature'), markBody(sheet), facts);
  }

  /** The ending of a way without a form: sent elsewhere, a registration form, or gone. */
  function recordEnding() {
    const { way } = desk.state;
    const body = directedBody(way);
    const name = way.line?.name || way.elsewhere.chosen?.name || way.name.trim();
    const facts = { name, place: body.way === 'elsewhere' ? way.place : null };
    desk.write('directed', '/people-directed', body, facts);
  }

  function recordForm() {
    const { way } = desk.state;
    const form = formNow(way);
    const { values } = form;
    const signature = howSigned(form.strokes);
    if (form.kind === 'affidavit') {
      const name = [values.last_name.trim(), values.first_name.trim()].filter(Boolean).join(', ');
      const body = { ...affidavitBody(way, form), ...signature };
      desk.write('affidavit', '/correction-affidavits', body, { name, lineId: null });
    } else {
      const body = { ...provisionalBody(way, form), ...signature };
      desk.write('provisional', '/provisional-ballots', body, { name: values.name.trim() });
    }
  }

  /** The server is back: ask again what it could not answer. */
  function askAgainWhenBack(_, before) {
    const { view, way } = desk.state;
    if (!before.connection.isReachable && view === 'table' && way && !way.line) askWay();
  }

  return {
    follow: followWay,
    effects: {
      'way-spelled': whenTyped(() => desk.state.way?.isDue && askWay()),
      'way-came': searchWhenAsked,
      'elsewhere-typed': whenTyped(searchElsewhere),
      'ending-confirmed': recordEnding,
      'form-recorded': recordForm,
      'helper-recorded': recordHelper,
      'mark-recorded': recordMark,
      'server-answered': askAgainWhenBack,
      'entry-came': ({ entry }) => touchesWay(desk.state, entry) && askWay(),
    },
  };
}
