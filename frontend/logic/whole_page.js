/** The page with all its parts, as it is once every one of them has come. For the tests. Pure. */

import { leadPart } from './lead_part.js';
import { pageOf } from './page.js';
import { wayPart } from './way_part.js';

export { firstState, isSeen } from './page.js';
export const { isUnmeant, update } = pageOf(wayPart, leadPart);
