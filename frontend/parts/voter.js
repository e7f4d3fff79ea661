/** The part "voter": the window that is turned to the voter, and its panel on the open line. */

import { voterActs } from '../acts/voter.js';
import { voterDoor } from '../elements/voter_door.js';
import { voterPanel } from '../elements/voter_panel.js';
import { voterPart } from '../logic/voter_part.js';

export const tables = voterPart;
export const acts = [voterActs(voterDoor)];
export const views = { inSheet: { voter: voterPanel } };
