/**
 * The part "way": for whoever cannot simply sign. The way out, its forms and endings, and
 * who helps a voter in the booth; the mark and the witness of a voter who cannot sign.
 */

import { authorisationActs } from '../acts/authorisations.js';
import { wayActs } from '../acts/way.js';
import { helperForm } from '../elements/helper.js';
import { wayOut } from '../elements/way.js';
import { affidavit, directed, provisional } from '../elements/way_confirmations.js';
import { witnessForm } from '../elements/witness.js';
import { wayPart } from '../logic/way_part.js';

export const tables = wayPart;
export const acts = [wayActs, authorisationActs];
export const views = {
  layers: { way: wayOut },
  confirmations: { affidavit, provisional, directed },
  inSheet: { helper: helperForm, witness: witnessForm },
};
