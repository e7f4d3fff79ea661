/** The way of a person whom no line fits: asks the rules, the other precincts, and the lists. */

import { affidavitBody } from '../logic/ending.js';
import { closestLines, isSpelledAnew } from '../logic/way.js';
import { formNow } from '../logic/way_state.js';

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
  function followWay() {
    const { way } = desk.state;
    if (way?.isDue && way.isBusy) askWay();
    if (formNow(way ?? { forms: {} })?.isDue) checkForm();
  }

  async function loadLists() {
    const paths = ['/people-directed', '/provisional-ballots', '/helpers'];
    const answers = await Promise.all(paths.map((path) => desk.heard(desk.get(path))));
    const problem = answers.map(desk.problemOf).find(Boolean);
    if (problem) {
      desk.send({ type: 'lists-came', problem });
      return;
    }
    const [{ people }, { ballots }, { helpers, limit }] = answers.map((each) => each.body);
    desk.send({ type: 'lists-came', answer: { people, ballots, helpers, limit } });
  }

  return {
    askWay,
    followWay,
    loadLists,
    effects: {
      'way-spelled': whenTyped(() => desk.state.way?.isDue && askWay()),
      'way-came': searchWhenAsked,
      'elsewhere-typed': whenTyped(searchElsewhere),
      'lists-opened': loadLists,
    },
  };
}
