"""The plain sentence for every code of a late list's row, and of what contradicts it, in English.

Faults of cells carry their own (`app.intake.fault_codes`). The page shows the codes in the
worker's language; these sentences go into problem bodies and printed records.
"""

from __future__ import annotations

from collections.abc import Mapping

LATE_SENTENCES: Mapping[str, str] = {
    # why a row does not fully agree with one line
    "number-missing": "The row has no voter number.",
    "number-unknown": "No line here has this voter number.",
    "number-lost-zeros": "The number lacks zeros at its beginning, as spreadsheets drop them.",
    "name-missing": "The row does not give the whole name.",
    "name-differs": "The name is not the one on the line with this number.",
    "birth-date-missing": "The row has no birth date.",
    "birth-date-differs": "The birth date is not the one on the line with this number.",
    "birth-date-swapped": "Day and month of the birth date stand the other way round on the line.",
    "several-lines": "More than one line could be meant.",
    "listed-twice": "The list names this person or this number more than once.",
    "mark-withdrawn": "The registrar took such a mark off this line today. Ask whether it is to "
    "stand again.",
    # two facts of which at most one can be right
    "signed-already": "The line is signed, and the list says otherwise.",
    "marked-otherwise": "The line says that the voter voted in another way than the list says.",
    "marked-twice": "The line carries the same mark from another list.",
    "marked-already": "The list removes a line that says that the voter voted.",
    "removed-already": "The line was removed, and the list speaks of it.",
    "provisional-given": "A provisional ballot was given on this line, and the list says that the "
    "voter voted.",
    "on-a-line-already": "The person whom the list adds is on a line already.",
    "number-taken": "The number that the list adds is somebody else's here.",
}


def late_sentence(code: str) -> str:
    """The sentence for `code`; blank for a code of a fault, which has its own."""
    return LATE_SENTENCES.get(code, "")
