/** The part "standby": what a laptop shows that only follows another one, and taking over on it. */

import { standbyActs } from '../acts/standby.js';
import { lockedOut, standbyLine, standbyStrip, standing, takeOver, tookOver } from '../elements/standby.js';
import { standbyPart } from '../logic/standby.js';

export const tables = standbyPart;
export const acts = [standbyActs];
export const views = {
  inSheet: { standby: standbyLine },
  inNow: { standby: standing },
  dialogs: { 'take-over': takeOver },
  overSignOn: { tookOver, lockedOut },
  strips: { standby: standbyStrip },
};
