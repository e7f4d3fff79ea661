/** The tables of the part "way": see page.js. Pure. */

import { authorisationEvents } from './authorisations.js';
import { formEvents } from './form.js';
import { helperEvents } from './helper.js';
import { actOn, onlyAsked } from './page.js';
import { recordedOnWay } from './recorded_way.js';
import { stoppedEvents } from './stopped.js';
import { wayEvents, wayLayer } from './way.js';
import { witnessEvents } from './witness.js';

export const wayPart = {
  events: {
    ...authorisationEvents,
    ...formEvents,
    ...helperEvents,
    ...stoppedEvents,
    ...wayEvents,
    ...witnessEvents,
    ...onlyAsked('helper-recorded', 'mark-recorded', 'ending-confirmed', 'form-recorded'),
  },
  guarded: {
    ...actOn('sheet', 'helper-recorded', 'mark-recorded'),
    ...actOn(
      'way',
      'way-answered',
      'person-chosen',
      'ending-chosen',
      'provisional-declined',
      'ending-confirmed',
      'registrar-again',
      'form-answered',
      'form-recorded',
    ),
  },
  recorded: recordedOnWay,
  layers: { way: wayLayer },
};
