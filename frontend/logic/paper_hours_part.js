/** The tables of the part "paper_hours": see page.js. Pure. */

import { actOn, onlyAsked } from './page.js';
import { begun, finished, paperFormEvents, undone } from './paper_forms.js';
import { paperHoursEvents, paperHoursLayer } from './paper_hours.js';
import { paperRowEvents, rowKeyed } from './paper_row.js';

export const paperHoursPart = {
  events: {
    ...paperHoursEvents,
    ...paperFormEvents,
    ...paperRowEvents,
    ...onlyAsked('hours-print-asked'),
  },
  guarded: actOn(
    'paperHours',
    'hours-answered',
    'hours-why-wanted',
    'hours-twice-meant',
    'hours-told-read',
    'hours-begun-anyway',
    'hours-head-again',
    'hours-off-wanted',
  ),
  recorded: { 'paper-begun': begun, 'paper-row': rowKeyed, 'paper-undo': undone, 'paper-finish': finished },
  layers: { paperHours: paperHoursLayer },
  dialogsBehind: {},
};
