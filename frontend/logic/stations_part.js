/** The tables of the part "stations": see page.js. Pure. */

import { stationEvents, stationsLayer } from './stations.js';

export const stationsPart = { events: stationEvents, layers: { stations: stationsLayer } };
