/** The page with all its parts, as it is once every one of them has come. For the tests. Pure. */

import { dayPart } from './day_part.js';
import { leadPart } from './lead_part.js';
import { nowPart } from './now_part.js';
import { pageOf } from './page.js';
import { paperHoursPart } from './paper_hours_part.js';
import { coverPart } from './cover.js';
import { standbyPart } from './standby.js';
import { stationsPart } from './stations_part.js';
import { practicePart } from './practice_part.js';
import { voterPart } from './voter_part.js';
import { wayPart } from './way_part.js';

export { firstState, isSeen } from './page.js';
export const { isUnmeant, update } = pageOf(wayPart, leadPart, dayPart, paperHoursPart, nowPart, stationsPart, voterPart, practicePart, coverPart, standbyPart);
