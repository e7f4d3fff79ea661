/** The tables of the part "now": see page.js. Pure. */

import { attentionEvents, nowLayer } from './attention_list.js';

export const nowPart = { events: attentionEvents, layers: { now: nowLayer } };
