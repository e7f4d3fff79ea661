/** The part "cover": who goes on at a station that nobody touched for a while. */

import { coverActs } from '../acts/cover.js';
import { cover } from '../elements/cover.js';
import { coverPart } from '../logic/cover.js';

export const tables = coverPart;
export const acts = [coverActs];
export const views = { covers: { cover } };
