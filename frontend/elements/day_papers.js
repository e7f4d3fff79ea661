/** The papers of the day: each opens in a window of its own, to be printed there. */

import { answers } from './answers.js';
import { handingOver } from './handing_over.js';
import { h } from './paint.js';
import { workAsk } from './work_parts.js';

// In the order in which a lead needs them on a day.
const PAPERS = ['register', 'affidavit-form', 'opening', 'closing', 'register-now', 'supplemental', 'affidavits', 'assistance', 'provisional', 'irregularities', 'log-head'];

export function dayPapersScreen(state, say, send) {
  const { day, language } = state;
  const papers = PAPERS.filter((paper) => day.policy?.correction_affidavit || !paper.startsWith('affidavit'));
  const buttons = day.ballots.map(({ button }) => button).filter((button) => button !== null);
  const one = (path, words) => ({ key: path, words, press: () => send({ type: 'paper-asked', path: `${path}.pdf`, language }) });
  return [
    workAsk(say('work.papers-ask')),
    // Once the day is closed it is what the lead came for.
    handingOver(state, say, send),
    // More than nine: numbers would promise a key that there is not.
    answers(
      [
        ...papers.map((paper) => one(paper, say(`papers.${paper}`))),
        ...buttons.map((button) => one(`ballot-button-${button}`, say('papers.button', { button }))),
      ],
      { isNumbered: false },
    ),
    h('p', { class: 'hint', key: 'hint' }, say('work.papers-hint')),
  ];
}
