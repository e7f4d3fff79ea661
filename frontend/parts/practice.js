/** The part "practice": the marks of a practice day, and the card that says who comes next. */

import { practiceActs } from '../acts/practice.js';
import { practiceCard } from '../elements/practice_card.js';
import { markPage } from '../elements/practice_mark.js';
import { practicePart, practicePress } from '../logic/practice_part.js';

export const tables = practicePart;
export const acts = [practiceActs(markPage)];
export const views = { asides: { practice: practiceCard }, shortcuts: { KeyP: practicePress } };
