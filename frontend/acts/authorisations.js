/** The calls that authorise an affidavit: loaded as soon as one may be needed on the way. */

import { touchesAuthorisations } from '../logic/authorisations.js';

const AFFIDAVIT = 'correction-affidavit';

export function authorisationActs(desk) {
  /** Where they cannot be had, who authorised is typed by hand. */
  async function loadAuthorisations() {
    const { openedAt } = desk.state.way ?? {};
    const answer = await desk.heard(desk.get('/authorisations'));
    if (!desk.state.way || desk.state.way.openedAt !== openedAt || desk.problemOf(answer)) return;
    desk.send({ type: 'authorisations-came', ...answer.body });
  }

  const whenAffidavit = ({ code }) => {
    if (desk.state.way && code === AFFIDAVIT) loadAuthorisations();
  };

  return {
    effects: {
      'entry-came': ({ entry }) => touchesAuthorisations(desk.state, entry) && loadAuthorisations(),
      'ending-chosen': whenAffidavit,
      'line-way-opened': whenAffidavit,
    },
  };
}
