/** Small changes to the way that more than one of its modules makes. Pure. */

/** What has been asked on the way of a person on no line: null is not asked yet. */
export const NOTHING_ASKED = {
  in_line_at_cut_off: null,
  spelled_otherwise: null,
  supplemental: null,
  says_eligible: null,
  elsewhere: null,
  goes_there: null,
  registrar: null,
};

/** A scanned card: its text is for the search alone, and is never shown or kept in a field. */
export const isCard = (text) => /(ANSI |AAMVA)\s*[0-9]/i.test(text) || text.includes('\u240a');

export const withWay = (state, changes) => ({ ...state, way: { ...state.way, ...changes } });

// Which form an ending asks for.
const FORM_OF_ENDING = {
  'correction-affidavit': 'affidavit',
  'provisional-ballot': 'provisional',
};

/** `affidavit` or `provisional` where the ending now is a form, null otherwise. */
export const formKind = (way) => FORM_OF_ENDING[way?.ending] ?? null;

export const formNow = (way) => way?.forms[formKind(way)] ?? null;

export const optionNow = (way, code) => way.options.find((option) => option.code === code);
