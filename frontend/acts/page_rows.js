/** Keying in a supplemental page: writes each row. */

import { hasPersonDraft, personBody, personName, unreadableBody } from '../logic/page_person.js';

export function pageRowActs(desk) {
  function write(end, body) {
    const { listId, person } = desk.state.late.keying;
    const { values } = person;
    const name = personName(values) || values.voter_number.trim();
    desk.write('person-keyed', `/late-lists/${listId}/${end}`, body, { listId, name, lineId: null });
  }

  const keyed = (isTwice) => () => {
    const { keying } = desk.state.late ?? {};
    if (hasPersonDraft(keying)) write('people', personBody(keying.person.values, isTwice));
  };

  function unreadable() {
    const { person } = desk.state.late?.keying ?? {};
    const body = person && unreadableBody(person.values);
    if (body) write('not-found', body);
  }

  return {
    effects: {
      'person-submitted': keyed(false),
      'person-twice': keyed(true),
      'person-unreadable': unreadable,
    },
  };
}
