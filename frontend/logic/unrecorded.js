/** What was begun on the open line and not sent, for when the line is changed elsewhere. Pure. */

import { activeStep } from './sheet.js';

/** What stands on the sheet itself and was not sent: a helper, a birth date, a signature. */
export function unrecordedOf(sheet) {
  const { helper, witness, birthDateText } = sheet;
  const birthDate = activeStep(sheet)?.code === 'tell-apart' ? birthDateText.trim() : '';
  const typed = [
    ['steps.birth-date-said', birthDate],
    ['steps.helper-name', helper?.name.trim()],
    ['steps.helper-reason', helper?.reason.trim()],
    ['steps.witness-name', witness?.name.trim()],
  ].filter(([, value]) => value);
  const isDrawn = [sheet, helper, witness].some((each) => each?.strokes.length > 0);
  return typed.length || isDrawn ? { typed, isDrawn } : null;
}
