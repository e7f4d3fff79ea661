"""The list of people registered elsewhere in the county: rows to `ElsewhereLine`, each checked.

It is there to send somebody to the right place, so what is needed for that must be filled in,
and nothing more may stand in it: no birth date, no home address, no voter number.
"""

from __future__ import annotations

from sys import intern

from app.intake.cells import birth_year
from app.intake.election import Facts
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.row_checks import RowChecks
from app.intake.table import Columns, Row, Table
from app.rules.elsewhere import ElsewhereLine

ELSEWHERE_COLUMNS = Columns(
    known=(
        "last_name",
        "first_name",
        "middle_name",
        "suffix",
        "birth_year",
        "precinct",
        "polling_place",
        "place_address",
        "election_id",
    ),
    required=frozenset(
        {"last_name", "first_name", "birth_year", "precinct", "polling_place", "place_address"}
    ),
)

_BIRTH_YEAR_EXPECTED = {
    Code.BIRTH_YEAR_UNREADABLE: "a year, such as 1987",
    Code.BIRTH_YEAR_UNLIKELY: "a year from 1900 to that of the election",
}
_PLACE_EXPECTED = {
    "precinct": "the number of a precinct",
    "polling_place": "the name of a polling place",
    "place_address": "where the polling place stands",
}


def read_elsewhere(table: Table, facts: Facts, faults: FaultList) -> list[ElsewhereLine]:
    """The people in file order. A heading row alone is a county of one precinct, and no fault."""
    reader = _Reader(RowChecks(table, facts, faults))
    lines = [line for row in table.rows() if (line := reader.line(row)) is not None]
    reader.checks.close()
    return lines


class _Reader:
    """Reads the rows of one table; `checks` add the faults."""

    def __init__(self, checks: RowChecks) -> None:
        self.checks = checks
        self._own_precinct = (checks.facts.precinct or "").casefold()

    def line(self, row: Row) -> ElsewhereLine | None:
        """The person of a row; None where there is no birth year to be read.

        Rows with other faults need not be left out: a package with any is refused whole.
        """
        last, first, middle, suffix, year, precinct, place, address, election_id = row.cells
        self.checks.name(row, "last_name", last, required=True)
        self.checks.name(row, "first_name", first)
        self.checks.name(row, "middle_name", middle)
        born = self._birth_year(row, year)
        self._precinct(row, precinct)
        for column, cell in (("polling_place", place), ("place_address", address)):
            self._filled(row, column, cell)
        self.checks.election_id(row, election_id)
        if born is None:
            return None
        # A county has many people and few places; interned they take no memory twice.
        return ElsewhereLine(
            last_name=intern(last),
            first_name=intern(first),
            birth_year=born,
            precinct=intern(precinct),
            polling_place=intern(place),
            place_address=intern(address),
            middle_name=intern(middle),
            suffix=intern(suffix),
        )

    def _birth_year(self, row: Row, cell: str) -> int | None:
        read = birth_year(cell, self.checks.facts.election_date)
        if isinstance(read, Code):
            self.checks.add(row, read, "birth_year", cell, _BIRTH_YEAR_EXPECTED[read])
            return None
        return read

    def _precinct(self, row: Row, cell: str) -> None:
        self._filled(row, "precinct", cell)
        if cell and cell.casefold() == self._own_precinct:
            # One wrong export brings them all, so they are reported together.
            expected = "precincts other than this one"
            self.checks.add_once(row, Code.OWN_PRECINCT, "precinct", cell, expected)

    def _filled(self, row: Row, column: str, cell: str) -> None:
        if not cell:
            self.checks.add(row, Code.CELL_BLANK, column, cell, _PLACE_EXPECTED[column])
