"""The register as data: the package's own columns, and what stands on each line.

A register.csv made here can be put into a package and gives the same lines. What stands on a line
is in columns behind the package's own, which the reading of packages passes over. A mark that came
with a list stands in that list's file, as it does in a package.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.papers.exports.csv_text import csv_bytes, yes
from app.rules.line import MarkKind, PrintedLine, PrintedMark
from app.rules.register_columns import REGISTER_COLUMNS, STANDING_COLUMNS

VOTED_HEADINGS = ("voter_number", "last_name", "first_name", "birth_date", "initials")
MARK_WORDS = {MarkKind.VOTED_BY_MAIL: "voted by mail", MarkKind.VOTED_EARLY: "voted early"}
# The list in which a mark stands that is not printed on the line itself.
LIST_OF_MARK = {
    MarkKind.VOTED_BY_MAIL: "mail-voted.csv",
    MarkKind.VOTED_EARLY: "early-voted.csv",
}
_PRINTED_IN = frozenset({"register.csv", "supplemental.csv"})


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands on a line, as text; times are local, ISO 8601 with their zone.

    `standing` is open, signed, marked or removed; `marks` and `corrected` are parted by spaces.
    """

    standing: str
    marks: str = ""
    signed_how: str = ""
    signed_at: str = ""
    signed_station: str = ""
    signed_initials: str = ""
    left_at: str = ""
    removed_at: str = ""
    envelope: str = ""
    corrected: str = ""


@dataclass(frozen=True, slots=True)
class LineOut:
    """A line as it may be handed on (a secret address is blank), with the marks it has now."""

    printed: PrintedLine
    marks: tuple[PrintedMark, ...]
    standing: Standing


def register_csv(lines: Iterable[LineOut]) -> bytes:
    rows = ([*_package_row(line), *_standing_row(line.standing)] for line in lines)
    return csv_bytes((*REGISTER_COLUMNS, *STANDING_COLUMNS), rows)


def voted_csv(lines: Iterable[LineOut], kind: MarkKind) -> bytes:
    """The marks of one kind that came with a list, or during the day."""
    rows = []
    for line in lines:
        own = own_mark(line)
        found = [mark for mark in line.marks if mark.kind is kind and mark is not own]
        if found:
            printed = line.printed
            names = (printed.voter_number, printed.last_name, printed.first_name)
            rows.append((*names, printed.birth_date.isoformat(), found[0].initials))
    return csv_bytes(VOTED_HEADINGS, rows)


def own_mark(line: LineOut) -> PrintedMark | None:
    """The mark that is printed on the line itself; a line has room for one."""
    return next((mark for mark in line.marks if mark.source in _PRINTED_IN), None)


def _package_row(line: LineOut) -> Sequence[str]:
    printed, mark = line.printed, own_mark(line)
    button = printed.ballot_button
    return (
        printed.voter_number,
        printed.last_name,
        printed.first_name,
        printed.middle_name,
        printed.suffix,
        printed.birth_date.isoformat(),
        printed.mothers_maiden_name,
        printed.street_address,
        printed.city,
        printed.postal_code,
        printed.party,
        "" if button is None else str(button),
        yes(printed.assistance),
        yes(printed.address_confirmation),
        MARK_WORDS[mark.kind] if mark else "",
        mark.initials if mark else "",
        yes(printed.inactive),
        yes(printed.first_time_by_mail),
        yes(printed.address_protected),
    )


def _standing_row(standing: Standing) -> Sequence[str]:
    return [getattr(standing, name) for name in STANDING_COLUMNS]
