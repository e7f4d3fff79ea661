/** The part "paper_hours": going to paper, catching up what was signed on it, and its count. */

import { paperHoursActs } from '../acts/paper_hours.js';
import { paperHours } from '../elements/paper_hours.js';
import { pageShortcut, strayOverHours, undoLastShortcut } from '../elements/paper_keys.js';
import { paperHoursPart } from '../logic/paper_hours_part.js';

export const tables = paperHoursPart;
export const acts = [paperHoursActs];
export const views = {
  layers: { paperHours },
  shortcuts: { KeyP: pageShortcut, KeyU: undoLastShortcut },
  strayKeys: { paperHours: strayOverHours },
};
