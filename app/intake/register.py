"""The register and the supplemental list: rows to printed lines, each checked.

What varies from place to place is no fault here: young voters, blank addresses (withheld by
law in some places), people with a single name, parties of any spelling.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from sys import intern

from app.intake.cells import voter_number_key
from app.intake.election import Facts
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.row_checks import RowChecks
from app.intake.table import Columns, Row, Table
from app.rules.line import MarkKind, Part, PrintedLine, PrintedMark
from app.rules.register_columns import REGISTER_COLUMNS, STANDING_COLUMNS

PACKAGE_COLUMNS = Columns(
    known=(*REGISTER_COLUMNS, "election_id"),
    required=frozenset(
        {
            "voter_number",
            "last_name",
            "first_name",
            "birth_date",
            "street_address",
            "ballot_button",
        }
    ),
    passed_over=frozenset(STANDING_COLUMNS),
)

# The words of design and paper; capitals do not matter.
MARK_WORDS = {
    "voted by mail": MarkKind.VOTED_BY_MAIL,
    "voted early": MarkKind.VOTED_EARLY,
}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a voter number stands.

    `position` is that of its line in `Roll.lines`, None where the row has a fault.
    """

    file: str
    row: int
    position: int | None


@dataclass(slots=True)
class Roll:
    """The lines read so far, register first, and where each voter number stands.

    `places` is keyed by `cells.voter_number_key`. `is_whole` is False where rows are missing
    from it, so that a number not found proves nothing.
    """

    lines: list[PrintedLine] = field(default_factory=list)
    places: dict[str, Place] = field(default_factory=dict)
    is_whole: bool = True


def read_register(table: Table, part: Part, roll: Roll, facts: Facts, faults: FaultList) -> None:
    """Add the lines of one part of the register to the roll."""
    reader = _Reader(table, part, roll, facts, faults)
    rows = 0
    for row in table.rows():
        rows += 1
        reader.read(row)
    reader.checks.close()
    # The morning may bring nobody new, so a supplemental list may be empty; a register may not.
    if not rows and part is Part.REGISTER and table.is_whole:
        faults.add(Code.NO_ROWS, table.file, expected="one row for each person registered")
    roll.is_whole = roll.is_whole and table.is_whole


class _Reader:
    """Reads the rows of one table; `checks` add the faults."""

    def __init__(
        self, table: Table, part: Part, roll: Roll, facts: Facts, faults: FaultList
    ) -> None:
        self.checks = RowChecks(table, facts, faults)
        self._file = table.file
        self._part = part
        self._roll = roll
        self._facts = facts
        self._faults = faults

    def read(self, row: Row) -> None:
        """Check one row, add its line where it has no fault, and note its number either way."""
        before = self._faults.count
        line = self._line(row)
        is_good = line is not None and not row.at_fault and self._faults.count == before
        # A number is noted even from a bad row: otherwise the lists would be told that it is
        # not in the register.
        position = len(self._roll.lines) if is_good else None
        key = voter_number_key(row.cells[0])
        place = self._roll.places.get(key)
        if place is not None:
            expected = f"a number of its own; it stands already in {place.file} row {place.row:,}"
            code = Code.DUPLICATE_VOTER_NUMBER
            self.checks.add(row, code, "voter_number", row.cells[0], expected)
            return
        if not key:
            # A number that a list names may be the one that could not be read here.
            self._roll.is_whole = False
        else:
            self._roll.places[key] = Place(self._file, row.number, position)
        if line is not None and is_good:
            self._roll.lines.append(line)

    def _line(self, row: Row) -> PrintedLine | None:
        (
            voter_number,
            last_name,
            first_name,
            middle_name,
            suffix,
            birth_date,
            mothers_maiden_name,
            street_address,
            city,
            postal_code,
            party,
            ballot_button,
            assistance,
            address_confirmation,
            mark,
            mark_initials,
            inactive,
            first_time_by_mail,
            address_protected,
            election_id,
        ) = row.cells
        self.checks.voter_number(row, voter_number)
        self.checks.name(row, "last_name", last_name, required=True)
        self.checks.name(row, "first_name", first_name)
        self.checks.name(row, "middle_name", middle_name)
        born = self.checks.birth_date(row, birth_date)
        button = self._button(row, ballot_button)
        wants_assistance = self._yes(row, "assistance", assistance)
        must_confirm_address = self._yes(row, "address_confirmation", address_confirmation)
        marks = self._marks(row, mark, mark_initials)
        is_inactive = self._yes(row, "inactive", inactive)
        is_first_time_by_mail = self._yes(row, "first_time_by_mail", first_time_by_mail)
        is_address_protected = self._yes(row, "address_protected", address_protected)
        self.checks.election_id(row, election_id)
        if born is None:
            return None
        # The same few values stand on thousands of lines; interned they take no memory twice.
        return PrintedLine(
            voter_number=voter_number,
            last_name=last_name,
            first_name=intern(first_name),
            birth_date=born,
            middle_name=intern(middle_name),
            suffix=intern(suffix),
            mothers_maiden_name=mothers_maiden_name,
            street_address=street_address,
            city=intern(city),
            postal_code=intern(postal_code),
            party=intern(party),
            ballot_button=button,
            assistance=wants_assistance,
            address_confirmation=must_confirm_address,
            inactive=is_inactive,
            first_time_by_mail=is_first_time_by_mail,
            address_protected=is_address_protected,
            marks=marks,
            part=self._part,
        )

    def _button(self, row: Row, cell: str) -> int | None:
        buttons = self._facts.buttons
        if not cell:
            if not self._facts.has_one_ballot:
                expected = _button_words(buttons)
                self.checks.add(row, Code.BUTTON_MISSING, "ballot_button", cell, expected)
            return None
        # isdigit alone would also take superscripts and the digits of other scripts.
        button = int(cell) if cell.isascii() and cell.isdigit() else None
        if button is None or (buttons is not None and button not in buttons):
            expected = _button_words(buttons)
            self.checks.add(row, Code.UNKNOWN_BUTTON, "ballot_button", cell, expected)
        return button

    def _yes(self, row: Row, column: str, cell: str) -> bool:
        if cell and cell not in ("Y", "y"):
            self.checks.add(row, Code.YES_OR_BLANK, column, cell, "Y or blank")
        return bool(cell)

    def _marks(self, row: Row, cell: str, initials: str) -> tuple[PrintedMark, ...]:
        self.checks.initials(row, "mark_initials", initials)
        if not cell:
            if initials and "mark" not in row.at_fault:
                expected = "a mark beside the initials"
                self.checks.add(
                    row, Code.INITIALS_WITHOUT_MARK, "mark_initials", initials, expected
                )
            return ()
        kind = MARK_WORDS.get(cell.lower())
        if kind is None:
            expected = ", ".join(MARK_WORDS) + " or blank"
            self.checks.add(row, Code.UNKNOWN_MARK, "mark", cell, expected)
            return ()
        return (PrintedMark(kind, self._file, initials),)


def _button_words(buttons: frozenset[int] | None) -> str:
    if not buttons:
        return "a button of a ballot in election.toml" if buttons is None else "blank"
    listed = sorted(buttons)
    more = ", …" if len(listed) > 10 else ""
    return "one of " + ", ".join(str(button) for button in listed[:10]) + more
