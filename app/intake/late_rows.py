"""One row of a late list: every cell read, and every fault kept beside it.

A row with faults is still a row: a person settles it. What could not be read is blank in the
row and named in its faults.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from app.intake.cells import (
    CELL_CHARACTERS,
    character_fault,
    folded,
    is_name,
    is_undecoded,
    is_voter_number,
)
from app.intake.fault_codes import Code
from app.intake.faults import Fault, shown
from app.intake.late_cells import RawCell, RawRow, Unusable, is_blank
from app.intake.late_dates import read_listed_date
from app.intake.late_headings import Headings
from app.intake.late_names import SplitName, split_name
from app.intake.row_checks import INITIALS_CHARACTERS
from app.rules.late_list import ListKind
from app.rules.policy import DateOrder
from app.rules.setting import Setting

_NAMES = ("last_name", "first_name", "middle_name")
_OF_THE_ROW = ("voter_number", *_NAMES, "suffix", "birth_date", "initials", "reason")
_YES_OR_BLANK = (
    "assistance",
    "address_confirmation",
    "inactive",
    "first_time_by_mail",
    "address_protected",
)


@dataclass(frozen=True, slots=True)
class LateFacts:
    """What a late list is read by. `headings` maps our column names to the office's own."""

    election_id: str
    election_date: date
    precinct: str
    date_order: DateOrder = "month_first"
    buttons: frozenset[int] = frozenset()
    headings: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, setting: Setting, headings: Mapping[str, str] | None = None) -> LateFacts:
        return cls(
            setting.election.id,
            setting.election.date,
            setting.precinct.number,
            setting.policy.date_order,
            frozenset(setting.ballot_buttons),
            headings or {},
        )


@dataclass(frozen=True, slots=True)
class LateRow:
    """One row as the list has it. Blank is what the list does not have or cannot be read.

    `details` are the other columns that are known, as text, by our name. `faults` quote cells:
    they are for the preview, not for a log.
    """

    row_number: int
    voter_number: str = ""
    last_name: str = ""
    first_name: str = ""
    middle_name: str = ""
    suffix: str = ""
    birth_date: date | None = None
    initials: str = ""
    reason: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()

    @property
    def problems(self) -> tuple[Code, ...]:
        """The codes of the faults, each once."""
        return tuple(dict.fromkeys(fault.code for fault in self.faults))


class RowReader:
    """Reads the rows under one heading row.

    `unnamed` are the positions of filled columns that have no heading, once rows were read.
    """

    def __init__(
        self,
        name: str,
        kind: ListKind,
        headings: Headings,
        facts: LateFacts,
        *,
        is_ragged_a_fault: bool,
    ) -> None:
        self.unnamed: set[int] = set()
        self._name = name
        self._kind = kind
        self._headings = headings
        self._facts = facts
        self._is_ragged_a_fault = is_ragged_a_fault

    def row(self, raw: RawRow) -> LateRow:
        """The row, whatever stands in it."""
        reading = _Reading(self._name, raw, self._headings)
        if raw.fault is not None:
            reading.add(raw.fault, None, str(raw.cells[0]), "a row whose quotation marks close")
            return LateRow(raw.number, faults=tuple(reading.faults))
        self._check_width(raw, reading)
        cells = {column: reading.text(column) for column in self._headings.places}
        born = self._birth_date(reading)
        names = _names(reading, cells)
        self._check(reading, cells)
        return LateRow(
            raw.number,
            voter_number=_voter_number(reading, cells.get("voter_number", "")),
            last_name=names.last_name,
            first_name=names.first_name,
            middle_name=names.middle_name,
            suffix=names.suffix,
            birth_date=born,
            initials=cells.get("initials", ""),
            reason=cells.get("reason", ""),
            details={
                column: text
                for column, text in cells.items()
                if column not in _OF_THE_ROW and column != "name"
            },
            faults=tuple(reading.faults),
        )

    def _check_width(self, raw: RawRow, reading: _Reading) -> None:
        headings = self._headings
        filled = [place for place, cell in enumerate(raw.cells) if not is_blank(cell)]
        self.unnamed.update(
            place for place in filled if place >= headings.width or not headings.texts[place]
        )
        if not self._is_ragged_a_fault:
            return
        least, most = headings.headed_width, headings.width
        if filled and filled[-1] >= most:
            reading.add(Code.ROW_TOO_LONG, None, f"{filled[-1] + 1} cells", f"{most} cells")
        elif len(raw.cells) < least:
            reading.add(Code.ROW_TOO_SHORT, None, f"{len(raw.cells)} cells", f"{least} cells")

    def _birth_date(self, reading: _Reading) -> date | None:
        cell = reading.cell("birth_date")
        facts = self._facts
        if isinstance(cell, date):
            text, expected = cell.isoformat(), "a day on which a voter can be born"
        else:
            text = reading.text("birth_date")
            order = facts.date_order.replace("_", " ")
            expected = f"a date such as 1987-03-04, or with slashes {order}; no bare number"
        if not text:
            return None
        read = read_listed_date(text, facts.date_order, facts.election_date)
        if isinstance(read, Code):
            reading.add(read, "birth_date", text, expected)
            return None
        return read

    def _check(self, reading: _Reading, cells: Mapping[str, str]) -> None:
        if len(cells.get("initials", "")) > INITIALS_CHARACTERS:
            expected = f"at most {INITIALS_CHARACTERS} characters"
            reading.add(Code.INITIALS_TOO_LONG, "initials", cells["initials"], expected)
        election = cells.get("election_id", "")
        if election and election != self._facts.election_id:
            expected = self._facts.election_id
            reading.add(Code.WRONG_ELECTION, "election_id", election, expected)
        precinct = cells.get("precinct", "")
        # A spreadsheet takes 4-07 for the seventh of April; then there is nothing to compare.
        is_text = not isinstance(reading.cell("precinct"), date)
        if precinct and is_text and precinct.casefold() != self._facts.precinct.casefold():
            reading.add(Code.WRONG_PRECINCT, "precinct", precinct, self._facts.precinct)
        if self._kind is ListKind.SUPPLEMENTAL:
            _check_new_line(reading, cells, self._facts.buttons)


def _check_new_line(reading: _Reading, cells: Mapping[str, str], buttons: frozenset[int]) -> None:
    """What a line must have before somebody can sign on it."""
    name = "last_name" if "last_name" in cells else "name"
    for column in ("voter_number", name, "birth_date", "street_address"):
        if not cells.get(column):
            reading.add(Code.CELL_BLANK, column, "", "a filled cell")
    for column in _YES_OR_BLANK:
        if cells.get(column, "") not in ("", "Y", "y"):
            reading.add(Code.YES_OR_BLANK, column, cells[column], "Y or blank")
    button = cells.get("ballot_button", "")
    if button and not (button.isascii() and button.isdigit() and int(button) in buttons):
        reading.add(Code.UNKNOWN_BUTTON, "ballot_button", button, "a button of this precinct")
    elif not button and buttons:
        reading.add(Code.BUTTON_MISSING, "ballot_button", "", "a button of this precinct")


def _voter_number(reading: _Reading, text: str) -> str:
    is_date = isinstance(reading.cell("voter_number"), date)
    if text and (is_date or not is_voter_number(text)):
        expected = "1 to 32 letters, digits and hyphens"
        reading.add(Code.VOTER_NUMBER_SHAPE, "voter_number", text, expected)
        return ""
    return text


def _names(reading: _Reading, cells: Mapping[str, str]) -> SplitName:
    """The four parts of the name; a name in one column is taken apart where that is certain."""
    last, first, middle, suffix = (cells.get(column, "") for column in (*_NAMES, "suffix"))
    whole = cells.get("name", "")
    if whole and not last:
        split = split_name(whole)
        if not split.is_sure:
            reading.add(Code.NAME_ORDER_UNKNOWN, "name", whole, "Last, First Middle")
        last = split.last_name
        # What the whole name lacks may stand in a column of its own.
        first, middle = split.first_name or first, split.middle_name or middle
        suffix = split.suffix or suffix
    for column, part in (("last_name", last), ("first_name", first), ("middle_name", middle)):
        if part and not is_name(part):
            reading.add(Code.NAME_UNLIKELY, column, part, "a name with letters")
    if not (last or cells.get("voter_number") or reading.faults):
        reading.add(Code.CELL_BLANK, "voter_number", "", "a voter number or a name")
    return SplitName(last, first, middle, suffix)


class _Reading:
    """The cells of one row by our column names, and the faults found so far."""

    def __init__(self, name: str, raw: RawRow, headings: Headings) -> None:
        self.faults: list[Fault] = []
        self._name = name
        self._raw = raw
        self._headings = headings
        self._texts: dict[str, str] = {}

    def add(self, code: Code, column: str | None, found: str, expected: str) -> None:
        """Add a fault; a column that has one already gets no second."""
        heading = None if column is None else self._headings.heading(column)
        if heading is None or all(fault.column != heading for fault in self.faults):
            fault = Fault(
                shown(self._name),
                self._raw.number,
                heading,
                shown(found),
                shown(expected, 200),
                code,
            )
            self.faults.append(fault)

    def cell(self, column: str) -> RawCell:
        place = self._headings.places.get(column, len(self._raw.cells))
        return self._raw.cells[place] if place < len(self._raw.cells) else ""

    def text(self, column: str) -> str:
        """The folded text of a cell; blank, and a fault, where it has none that can be used."""
        if column not in self._texts:
            self._texts[column] = self._usable_text(column)
        return self._texts[column]

    def _usable_text(self, column: str) -> str:
        cell = self.cell(column)
        if isinstance(cell, Unusable):
            self.add(cell.code, column, cell.found, "a value")
            return ""
        if isinstance(cell, date):
            return cell.isoformat()
        if is_undecoded(cell):
            # A lone surrogate cannot be sent or stored: no byte of it is repeated.
            self.add(Code.LOST_CHARACTER, column, "bytes that are no letters", "letters")
            return ""
        if len(cell) > CELL_CHARACTERS:
            self.add(Code.CELL_TOO_LONG, column, cell, f"at most {CELL_CHARACTERS:,} characters")
            return ""
        code = character_fault(cell)
        if code is not None:
            self.add(code, column, cell, "letters that can be seen")
            return ""
        return folded(cell)
