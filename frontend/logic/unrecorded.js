/** What was begun on the open line and not sent, for when the line is changed elsewhere. Pure. */

import { activeStep } from './sheet.js';

/** What stands on the sheet itself and was not sent: a helper, a birth date, a signature. */
export function unrecordedOf(sheet) {
  const { helper, strokes, birthDateText } = sheet;
  const birthDate = activeStep(sheet)?.code === 'tell-apart' ? birthDateText.trim() : '';
  const typed = [
    ['steps.birth-date-said', birthDate],
    ['steps.helper-name', helper?.name.trim()],
    ['steps.helper-reason', helper?.reason.trim()],
  ].filter(([, value]) => value);
  const isDrawn = strokes.length > 0 || Boolean(helper?.strokes.length);
  return typed.length || isDrawn ? { typed, isDrawn } : null;
}
