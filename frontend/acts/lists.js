/** The lead's lists: loaded when they are opened, and again when something in them changes. */

import { touchesLists } from '../logic/lists.js';

export function listActs(desk) {
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

  const loadOpen = () => desk.state.lists && loadLists();

  return {
    effects: {
      'lists-opened': loadLists,
      'write-accepted': loadOpen,
      'write-refused': loadOpen,
      'entry-came': ({ entry }) => touchesLists(desk.state, entry) && loadLists(),
    },
  };
}
