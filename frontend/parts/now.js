/** The part "now": what needs the lead, in the head of their page and as a view of its own. */

import { leadViewActs } from '../acts/lead_view.js';
import { leadView } from '../elements/lead_view.js';
import { nowPart } from '../logic/now_part.js';

export const tables = nowPart;
export const acts = [leadViewActs];
export const views = { layers: { now: leadView } };
