/** The part "stations": who is let in and signed on, whose PIN is locked, what was refused. */

import { stationActs } from '../acts/stations.js';
import { stations } from '../elements/stations.js';
import { stationsPart } from '../logic/stations_part.js';

export const tables = stationsPart;
export const acts = [stationActs];
export const views = { layers: { stations } };
