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
    # steps
    "in-line-at-cut-off": "Ask: was this person in line at {local_time}, when the line was closed?",
    "tell-apart": "Ask for the birth date: {look_alikes} other line(s) could be mistaken for this.",
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
}


def sentence(code: str, facts: Mapping[str, object]) -> str:
    """The sentence for `code`, its facts filled in; KeyError for a code that has none."""
    return SENTENCES[code].format_map(facts)
