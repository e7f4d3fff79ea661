/** The tables of the part "lead": see page.js. Pure. */

import { bringEvents } from './bring.js';
import { callEvents } from './call.js';
import { dialogEvents, dialogsBehind } from './dialog.js';
import { keyingEvents } from './keying.js';
import { lateEvents, lateLayer } from './late.js';
import { lateListEvents } from './late_list.js';
import { listEvents, listLayer } from './lists.js';
import { actOn, onlyAsked } from './page.js';
import { pageRowEvents } from './page_rows.js';
import { pastCallEvents } from './past_calls.js';
import { recordedByLead } from './recorded_lead.js';

export const leadPart = {
  events: {
    ...bringEvents,
    ...callEvents,
    ...dialogEvents,
    ...keyingEvents,
    ...lateEvents,
    ...lateListEvents,
    ...listEvents,
    ...pageRowEvents,
    ...pastCallEvents,
    ...onlyAsked(
      'turn-confirmed',
      'dialog-confirmed',
      'row-decided',
      'gone-decided',
      'list-apply-asked',
      'list-page-wanted',
      'list-corrects',
      'call-submitted',
      'proof-asked',
    ),
  },
  // The box of a list on paper has a guard of its own.
  guarded: actOn(
    'late',
    'row-decided',
    'gone-decided',
    'list-apply-asked',
    'list-corrects',
    'call-read',
    'call-change-chosen',
    'call-voter-chosen',
    'call-submitted',
  ),
  recorded: recordedByLead,
  layers: { lists: listLayer, late: lateLayer },
  dialogsBehind,
};
