"""Checks that rows of every list share, and the rule that a cell gets one fault and no more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.intake.cells import NAME_CHARACTERS, birth_date, is_name, is_voter_number
from app.intake.election import Facts
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.table import Row, Table

# Initials stand in a narrow column; some offices write a badge number instead.
INITIALS_CHARACTERS = 10

_BIRTH_DATE_EXPECTED = {
    Code.BIRTH_DATE_UNREADABLE: "year-month-day, such as 1987-03-04",
    Code.BIRTH_DATE_IMPOSSIBLE: "a day that is in the calendar",
    Code.BIRTH_DATE_TOO_EARLY: "a birth date from 1900 on",
    Code.BIRTH_DATE_IN_FUTURE: "a birth date before election day",
}


@dataclass(slots=True)
class _Wrong:
    code: Code
    column: str
    cell: str
    expected: str
    row: int
    count: int = 0


class RowChecks:
    """The checks of one list. `close` must be called after the last row."""

    def __init__(self, table: Table, facts: Facts, faults: FaultList) -> None:
        self.table = table
        self.facts = facts
        self._faults = faults
        self._repeated: dict[tuple[Code, str], _Wrong] = {}
        self._checks_election = table.has("election_id") and facts.election_id is not None

    def add(self, row: Row, code: Code, column: str, found: str, expected: str) -> None:
        """Add a fault at one of our columns, unless its cell has one already."""
        if column in row.at_fault:
            return
        heading = self.table.heading(column)
        self._faults.add(
            code, self.table.file, row=row.number, column=heading, found=found, expected=expected
        )

    def voter_number(self, row: Row, cell: str) -> bool:
        """Whether the cell is a voter number; adds the fault where not."""
        if is_voter_number(cell):
            return True
        code = Code.VOTER_NUMBER_SHAPE if cell else Code.CELL_BLANK
        expected = "1 to 32 letters, digits and hyphens"
        self.add(row, code, "voter_number", cell, expected)
        return False

    def name(self, row: Row, column: str, cell: str, *, required: bool = False) -> None:
        if not cell:
            if required:
                self.add(row, Code.CELL_BLANK, column, cell, "a name")
        elif not is_name(cell):
            expected = f"a name with letters, at most {NAME_CHARACTERS} characters"
            self.add(row, Code.NAME_UNLIKELY, column, cell, expected)

    def birth_date(self, row: Row, cell: str) -> date | None:
        """The date in a filled cell; None and a fault where it is none."""
        read = birth_date(cell, self.facts.election_date)
        if isinstance(read, Code):
            self.add(row, read, "birth_date", cell, _BIRTH_DATE_EXPECTED[read])
            return None
        return read

    def initials(self, row: Row, column: str, cell: str) -> None:
        if len(cell) > INITIALS_CHARACTERS:
            expected = f"at most {INITIALS_CHARACTERS} characters"
            self.add(row, Code.INITIALS_TOO_LONG, column, cell, expected)

    def election_id(self, row: Row, cell: str) -> None:
        """Note a cell that names another election: a whole list of one is a single mistake."""
        right = self.facts.election_id
        if self._checks_election and right is not None and cell != right:
            self.add_once(row, Code.WRONG_ELECTION, "election_id", cell, right)

    def add_once(self, row: Row, code: Code, column: str, cell: str, expected: str) -> None:
        """Note a cell that many rows may have by one mistake.

        It is reported once for each different cell, at the first row that has it, with the
        number of rows.
        """
        if column not in row.at_fault:
            first = _Wrong(code, column, cell, expected, row.number)
            self._repeated.setdefault((code, cell), first).count += 1

    def close(self) -> None:
        """Report what could be counted only at the end."""
        for wrong in self._repeated.values():
            rows = "1 row" if wrong.count == 1 else f"{wrong.count:,} rows"
            cell = wrong.cell
            self._faults.add(
                wrong.code,
                self.table.file,
                row=wrong.row,
                column=self.table.heading(wrong.column),
                found=f"{cell or 'nothing'} in {rows}" if len(cell) < 40 else cell,
                expected=wrong.expected,
            )
