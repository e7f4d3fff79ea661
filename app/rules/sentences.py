"""The plain sentence for every code a verdict can carry, in English.

One table, so that a lawyer can read it from top to bottom. The page shows the
same codes in the worker's language; these sentences go into the record, the
command line and the problem bodies. Braces are filled from the code's facts.
"""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # reasons
    "already-signed": "This line was signed at {local_time} at {station} ({initials}). "
    "If that was a mistake, the lead can withdraw it.",
    "voted-by-mail": "This line says voted by mail ({source}). "
    "Only the registrar can lift the mark.",
    "voted-early": "This line says voted early ({source}). Only the registrar can lift the mark.",
    "removed": "This line was removed at {local_time} ({initials}). "
    "Only the registrar can put it back.",
    "lists-contradict": "The lists say different things about this line: {said}.",
    "ballot-unknown": "The line does not say which ballot this voter gets.",
    "polls-not-open": "The polls are not open yet. They open at {opens}, when the lead says so.",
    "polls-closed": "The polls are closed.",
    "line-cut-off": "The line was closed at {local_time}; this person was not in it.",
    "not-this-line": "The birth date said is not the one on this line: "
    "look for the person's own line.",
    "identification-missing": "Identification is required here and was not shown.",
    "moved-within": "The voter has moved inside {county}.",
    "moved-outside": "The voter has moved out of {county}.",
    "address-not-affirmed": "The voter does not affirm that they live at the address.",
    "extended-hours": "An order ({reference}) extended the hours to {until}. Whoever came after "
    "the ordinary end of the line votes a provisional ballot, kept apart from all others.",
    "provisional-recorded": "A provisional ballot was given on this line at {local_time} at "
    "{station} ({initials}).",
    "challenged": "An official says that this person may not vote here.",
    "step-not-done": "What comes first could not be done.",
    "not-on-a-list": "The person is on no list here.",
    "registered-elsewhere": "The person is registered at another polling place.",
    # steps
    "in-line-at-cut-off": "Ask: was this person in line at {local_time}, when the line was closed?",
    "tell-apart": "Ask for the birth date: {look_alikes} other line(s) could be mistaken for this.",
    "affirm-address": "Ask the voter to affirm the address: that they live there, or, after a "
    "move, where they live now.",
    "ask-moved": "Ask whether the voter has moved: not at all, inside {county}, or out of it.",
    "identification": "Ask for identification.",
    "address-confirmation": "The voter completes an address confirmation card before signing.",
    "assistance": "Assistance is printed on this line: ask, and write who helps.",
    # options
    "call-registrar": "Call the registrar: {office}, {phone}.",
    "correction-affidavit": "If the registrar authorises it: a correction affidavit.",
    "provisional-ballot": "Offer a provisional ballot.",
    "look-at-look-alikes": "Look at the lines this one can be mistaken for.",
    "ask-lead": "Ask the lead worker.",
    "wait-for-opening": "Ask the person to wait until the polls open.",
    "affirm-identity": "The person may sign the paper for people without identification.",
    "direct-elsewhere": "Direct the person to their own polling place, with the slip.",
    "registration-form": "Hand over a registration form.",
    "mark-and-witness": "A voter who cannot sign may make a mark; a witness signs beside it.",
    "write-down-why": "If the person leaves: write down why.",
    # questions on the way of a person who is found nowhere
    "spelled-otherwise": "Ask for the name spelled out, another name, or the birth date, and look "
    "again. Is the person still not found?",
    "supplemental-pages": "Look at the supplemental pages on the table. Is the person still not "
    "found?",
    "says-eligible": "Ask: are you registered in {county}, and may you vote in this election?",
    "where-registered": "Look in the list of the other precincts. Is the person "
    "registered at another polling place?",
    "goes-there": "Tell the person where their polling place is. Will they go there?",
    "registrar-called": "Call the registrar, {office}, {phone}. What does the registrar say?",
    # flags: recorded all the same, and the lead should know
    "helper-over-limit": "This helper has now helped {helped} voters; the limit here is {limit}.",
    "statement-of-support-missing": "No statement of support was made, and no Y is printed.",
    "provisional-same-name": "A provisional ballot was given to somebody of this name "
    "(envelope {envelope}). If it is the same person, the lead withdraws it.",
    "ballot-differs": "The ballot button of the right line is {is}, of the wrong line {was}: ask "
    "which ballot was given.",
}


def sentence(code: str, facts: Mapping[str, object]) -> str:
    """The sentence for `code`, its facts filled in; KeyError for a code that has none."""
    return SENTENCES[code].format_map(facts)
