/** The tables of the part "day": see page.js. Pure. */

import { balanceEvents } from './balance.js';
import { checkEvents, tickRecorded } from './checks.js';
import { dayWorkEvents, workLayer } from './day_work.js';
import { handOverEvents } from './handing_over.js';
import { actOn, onlyAsked } from './page.js';
import { formRecorded, workFormEvents } from './work_form.js';

export const dayPart = {
  events: {
    ...balanceEvents,
    ...checkEvents,
    ...dayWorkEvents,
    ...handOverEvents,
    ...workFormEvents,
    ...onlyAsked('cause-list-wanted', 'paper-asked'),
  },
  guarded: actOn(
    'dayWork',
    'check-ticked',
    'check-wrong-asked',
    'told-read',
    'work-read-again',
    'work-insisted',
    'work-replaces',
    'cause-opened',
  ),
  recorded: { tick: tickRecorded, 'work-form': formRecorded },
  layers: { dayWork: workLayer },
  dialogsBehind: {},
};
