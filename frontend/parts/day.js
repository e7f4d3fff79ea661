/**
 * The part "day": the checks of the opening and the close, machines and their counters, seals,
 * the balance, and the papers of the day.
 */

import { dayWorkActs } from '../acts/day_work.js';
import { dayWork } from '../elements/day_work.js';
import { dayPart } from '../logic/day_part.js';

export const tables = dayPart;
export const acts = [dayWorkActs];
export const views = { layers: { dayWork } };
