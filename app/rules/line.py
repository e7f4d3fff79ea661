"""One person's row in the register: what is printed on it and what stands on it now.

`PrintedLine` never changes after load. `LineState` is what the day log says has
happened to the line since; it is replaced, never edited.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum


class Part(StrEnum):
    """The part of the register a line is printed or written in."""

    REGISTER = "register"
    SUPPLEMENTAL = "supplemental"
    AFFIDAVIT = "affidavit"


class MarkKind(StrEnum):
    """Written on a line instead of a signature."""

    VOTED_BY_MAIL = "voted_by_mail"
    VOTED_EARLY = "voted_early"


@dataclass(frozen=True, slots=True)
class PrintedMark:
    """A mark that the package itself brings.

    `source` is the file it came from (`register.csv`, `mail-voted.csv`, …);
    `initials` are those of the person who marked it, empty where none are printed.
    """

    kind: MarkKind
    source: str
    initials: str = ""


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """A line as printed before the day. Empty text means the column was blank.

    `ballot_button` None means one ballot for all. `assistance` and
    `address_confirmation` are True where a Y or a notice is printed. `inactive`: a notice
    to the voter was not answered. `first_time_by_mail`: registered by mail, votes for the
    first time. `address_protected`: the address is kept secret.
    """

    voter_number: str
    last_name: str
    first_name: str
    birth_date: date
    middle_name: str = ""
    suffix: str = ""
    mothers_maiden_name: str = ""
    street_address: str = ""
    city: str = ""
    postal_code: str = ""
    party: str = ""
    ballot_button: int | None = None
    assistance: bool = False
    address_confirmation: bool = False
    inactive: bool = False
    first_time_by_mail: bool = False
    address_protected: bool = False
    marks: tuple[PrintedMark, ...] = ()
    part: Part = Part.REGISTER

    @property
    def name_last_first(self) -> str:
        """`Last Suffix, First Middle`, the order in which a register is printed."""
        return name_last_first(self.last_name, self.first_name, self.middle_name, self.suffix)


def name_last_first(last: str, first: str, middle: str, suffix: str) -> str:
    """`Last Suffix, First Middle`; what is blank leaves no trace."""
    surname = " ".join(part for part in (last, suffix) if part)
    given = " ".join(part for part in (first, middle) if part)
    return ", ".join(part for part in (surname, given) if part)


@dataclass(frozen=True, slots=True)
class Line:
    """A printed line with its identifier in this database.

    `line_id` is opaque and carries no personal data: it may stand in a path.
    `look_alikes` are the line_ids this line could be mistaken for, in print order.
    """

    line_id: str
    printed: PrintedLine
    look_alikes: tuple[str, ...] = ()


def as_shown(line: Line) -> Line:
    """The line as it may be shown, printed and handed on: a secret address is blank."""
    if not line.printed.address_protected:
        return line
    return replace(line, printed=replace(line.printed, street_address="", city="", postal_code=""))


@dataclass(frozen=True, slots=True)
class Act:
    """Who did something to a line, when and where. `seq` is the entry in the day log."""

    seq: int
    at: datetime
    station: str
    initials: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark that stands on the line. `act` is None where it came printed."""

    kind: MarkKind
    source: str
    initials: str
    act: Act | None = None


@dataclass(frozen=True, slots=True)
class LineState:
    """What stands on one line now.

    `marks` are in the order in which they came, printed ones first. `left`: the voter
    signed and left without voting. `provisional`: a provisional ballot was given here.
    `also_on_paper`: keyed from paper when the line was signed already, by the entries of the rows.
    """

    marks: tuple[Mark, ...] = ()
    signature: Act | None = None
    removed: Act | None = None
    address_confirmed: Act | None = None
    assistance: Act | None = None
    left: Act | None = None
    provisional: Act | None = None
    also_on_paper: tuple[Act, ...] = ()

    @property
    def standing(self) -> Standing:
        """The one word the derived table keeps. Removed and signed outrank a mark."""
        if self.removed:
            return Standing.REMOVED
        if self.signature:
            return Standing.SIGNED
        return Standing.MARKED if self.marks else Standing.OPEN


class Standing(StrEnum):
    """How a line stands, in one word."""

    OPEN = "open"
    SIGNED = "signed"
    MARKED = "marked"
    REMOVED = "removed"


def state_as_printed(printed: PrintedLine) -> LineState:
    """The state of a line on which nothing has happened yet."""
    return state_of_marks(printed.marks)


def state_of_marks(marks: Iterable[PrintedMark]) -> LineState:
    """The same, by the marks that are printed on it."""
    return LineState(marks=tuple(Mark(mark.kind, mark.source, mark.initials) for mark in marks))


__all__ = [
    "Act",
    "Line",
    "LineState",
    "Mark",
    "MarkKind",
    "Part",
    "PrintedLine",
    "PrintedMark",
    "Standing",
    "as_shown",
    "name_last_first",
    "state_as_printed",
    "state_of_marks",
]
