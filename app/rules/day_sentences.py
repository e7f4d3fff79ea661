"""The plain sentence for every code of the opening and the close, in English.

The page shows the codes in the worker's language with their facts; these sentences stand in
problem bodies and printed records.
"""

from __future__ import annotations

from collections.abc import Mapping

DAY_SENTENCES: Mapping[str, str] = {
    # what is doubted about a machine
    "public-not-zero": "The public counter is not at 0 although the day begins.",
    "protective-not-as-packaged": "The protective counter is not the one that the package states.",
    "protective-not-on-screen": "The report and the screen show different protective counters.",
    "zero-report-wrong": "Something on the zero report is wrong.",
    "counter-went-down": "A counter is lower than it was read before. Read it again.",
    "protective-moved-otherwise": "The protective counter moved by another amount than the public "
    "counter.",
    "buttons-do-not-add-up": "The counts of the ballots do not add up to the public counter.",
    "serial-unknown": "The package knows no machine with this serial number.",
    "reading-differs": "The machines have not counted as many as the table has signed.",
    # what is doubted about a seal
    "seal-seen-elsewhere": "This seal number was written down for something else.",
    "seal-put-on-twice": "This seal number was put on before.",
    "seal-not-the-one": "This is not the seal that is on there.",
    "seal-not-on-sheet": "The seal does not agree with the seal sheet.",
    # irregularities that the program opens itself
    "check-failed": "A check failed.",
    "opened-before-ready": "The polls were opened before every required check was made.",
    "closed-with-difference": "The polls were closed although the counts do not agree.",
    "record-is-older": "A page has seen entries that this record does not have: an older one was "
    "put back, or its end was cut off.",
    "stations-not-served": "After this laptop took over, no other device could be let in.",
    "paper-newer": "The printed register shows entries that this record does not have.",
    "paper-on-no-line": "The voter signed on paper, and is on no line here.",
    "steps-not-on-paper": "The paper does not show a step that comes before signing.",
    # what a signature on paper contradicts
    "paper-and-signed": "The voter signed on paper, and the line is signed already.",
    "paper-and-marked": "The voter signed on paper, and a list says that the voter voted.",
    "paper-and-removed": "The voter signed on paper, and the line was removed.",
    "paper-and-provisional": "The voter signed on paper, and a provisional ballot was given.",
    # what is odd about a row of paper
    "alike-keyed": "A look-alike was keyed with the same time or place. It may be one voter.",
    "place-keyed": "This place of this page was keyed before, on another line.",
    "outside-paper-hours": "The time is outside the hours in which the table was on paper.",
    # causes of a difference
    "machine-not-read": "A machine has not been read yet.",
    "read-before-end": "A machine was read before the last voter had signed.",
    "old-reading": "The reading at the close is an earlier one; the machine has counted on since.",
    "digits-swapped": "Two digits of a counter were swapped when it was written down.",
    "digit-misread": "One digit of a counter was misread.",
    "counter-misread": "The protective counter tells another count than the public one.",
    "protective-misread": "A protective counter was misread: the public counter balances.",
    "votes-before-opening": "The public counter was not at 0 when the polls opened.",
    "test-votes": "Test votes may be on a counter: no zero report stands for it.",
    "left-unrecorded": "Somebody signed and left without voting, and nobody wrote it down.",
    "voted-unsigned": "Somebody voted who did not sign.",
    "withdrawn-but-voted": "A signature was withdrawn although the voter had voted.",
    "signed-on-two-lines": "One voter signed on a look-alike's line and on their own.",
    "moved-and-signed-again": "A signature was moved, and the voter signed once more.",
    "keyed-twice": "A line of the paper register was caught up twice.",
    "page-not-caught-up": "Lines of the paper register are not caught up.",
    "signed-and-provisional": "A voter with a provisional ballot has also signed.",
    "provisional-in-machine": "A provisional ballot was put into a machine.",
    "affidavit-and-line": "One voter signed on an affidavit's line and on another.",
    "signed-instead-of-marked": "A line of a list was signed instead of marked.",
    "list-row-missed": "A row of a list was missed.",
    "list-row-twice": "A row of a list was keyed twice.",
    "button-given-wrongly": "A voter got another ballot than the register says.",
    "ballots-miscounted": "A count of the ballots on paper is wrong.",
    "left-with-ballot": "A voter who left took the ballot along.",
}


def day_sentence(code: str) -> str:
    """The sentence for `code`, blank for a code of another table."""
    return DAY_SENTENCES.get(code, "")
