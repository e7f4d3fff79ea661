/**
 * The part "lead": late lists, lists on paper, calls, irregularities, the lead's lists, and
 * every dialog that records something.
 */

import { callActs } from '../acts/call.js';
import { correctingActs } from '../acts/correcting.js';
import { keyingActs } from '../acts/keying.js';
import { lateActs } from '../acts/late.js';
import { listActs } from '../acts/lists.js';
import { pageRowActs } from '../acts/page_rows.js';
import { move, withStatement, withdraw } from '../elements/corrections.js';
import { dayTurns, extend, takeBack } from '../elements/hours.js';
import { late } from '../elements/late.js';
import {
  dropList,
  finishList,
  irregularity,
  settleIrregularity,
  undoRow,
  unlockCodes,
} from '../elements/late_dialogs.js';
import { strayOverLate, undoShortcut } from '../elements/late_keys.js';
import { gone, moved, withdrawn } from '../elements/lead_confirmations.js';
import { lists } from '../elements/lists.js';
import { leadPart } from '../logic/lead_part.js';

export const tables = leadPart;
export const acts = [lateActs, keyingActs, callActs, listActs, pageRowActs, correctingActs];
export const views = {
  layers: { late, lists },
  dialogs: {
    day: dayTurns,
    extend,
    'take-back': takeBack,
    withdraw,
    move,
    left: withStatement,
    returned: withStatement,
    'form-given': withStatement,
    'withdraw-provisional': withStatement,
    irregularity,
    'settle-irregularity': settleIrregularity,
    'undo-row': undoRow,
    'finish-list': finishList,
    'drop-list': dropList,
    'unlock-codes': unlockCodes,
  },
  confirmations: { withdrawn, moved, left: gone, returned: gone },
  shortcuts: { KeyU: undoShortcut },
  strayKeys: { late: strayOverLate },
};
