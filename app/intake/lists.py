"""Lists of people who have already voted, by mail or early: rows to marks on lines of the roll.

A mark stops somebody from signing, so a row must name exactly one line: the number must stand
in the register or the supplemental list, and a name or birth date beside it must be that line's.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace

from app.intake.cells import same_name, voter_number_key
from app.intake.election import Facts
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.register import Place, Roll
from app.intake.row_checks import RowChecks
from app.intake.table import Columns, Row, Table
from app.rules.line import MarkKind, PrintedLine, PrintedMark

VOTED_COLUMNS = Columns(
    known=("voter_number", "last_name", "first_name", "birth_date", "initials", "election_id"),
    required=frozenset({"voter_number"}),
)


@dataclass(slots=True)
class Marks:
    """The marks that the lists bring, by the position of their line in `Roll.lines`."""

    by_position: defaultdict[int, list[PrintedMark]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def put_on(self, lines: list[PrintedLine]) -> tuple[PrintedLine, ...]:
        """The lines with these marks after those that were printed on them."""
        marked = list(lines)
        for position, marks in self.by_position.items():
            line = marked[position]
            marked[position] = replace(line, marks=line.marks + tuple(marks))
        return tuple(marked)


def read_voted_list(
    table: Table, kind: MarkKind, roll: Roll, marks: Marks, facts: Facts, faults: FaultList
) -> None:
    """Add one mark for every row. A heading row alone is a list of nobody, and no fault."""
    reader = _Reader(RowChecks(table, facts, faults), roll)
    for row in table.rows():
        position = reader.position(row)
        if position is not None:
            marks.by_position[position].append(PrintedMark(kind, table.file, row.cells[4]))
    reader.checks.close()


class _Reader:
    """Reads the rows of one list."""

    def __init__(self, checks: RowChecks, roll: Roll) -> None:
        self.checks = checks
        self._roll = roll
        self._rows: dict[str, int] = {}

    def position(self, row: Row) -> int | None:
        """The position of the line that the row names; None where it has a fault."""
        number, _, _, birth_date, initials, election_id = row.cells
        self.checks.election_id(row, election_id)
        self.checks.initials(row, "initials", initials)
        born = self.checks.birth_date(row, birth_date) if birth_date else None
        if not self.checks.voter_number(row, number):
            return None
        key = voter_number_key(number)
        earlier = self._rows.setdefault(key, row.number)
        if earlier != row.number:
            expected = f"each number once; it stands already in row {earlier:,}"
            self.checks.add(row, Code.LISTED_TWICE, "voter_number", number, expected)
            return None
        place = self._roll.places.get(key)
        if place is None:
            self._add_not_in_register(row, number)
            return None
        if place.position is None:
            return None
        line = self._roll.lines[place.position]
        self._compare_names(row, line, place)
        if born is not None and born != line.birth_date:
            # The register's own date is not repeated: the clerk can look it up there.
            expected = f"the birth date in {place.file} row {place.row:,}"
            self.checks.add(row, Code.BIRTH_DATE_DIFFERS, "birth_date", birth_date, expected)
        return place.position

    def _compare_names(self, row: Row, line: PrintedLine, place: Place) -> None:
        _, last_name, first_name, *_ = row.cells
        with_suffix = f"{line.last_name} {line.suffix}"
        if last_name and not (
            same_name(last_name, line.last_name) or same_name(last_name, with_suffix)
        ):
            expected = f"the last name in {place.file} row {place.row:,}"
            self.checks.add(row, Code.NAME_DIFFERS, "last_name", last_name, expected)
        if first_name and not same_name(first_name, line.first_name):
            expected = f"the first name in {place.file} row {place.row:,}"
            self.checks.add(row, Code.NAME_DIFFERS, "first_name", first_name, expected)

    def _add_not_in_register(self, row: Row, number: str) -> None:
        if not self._roll.is_whole:
            # The number may stand in a row that could not be read: that has its own fault.
            return
        expected = "a number of the register or the supplemental list"
        bare = number.lstrip("0")
        for width in range(len(bare), 13):
            place = self._roll.places.get(voter_number_key(bare.zfill(width)))
            if place and bare:
                # Spreadsheets drop leading zeros from what they take for a number.
                expected = f"perhaps the number in {place.file} row {place.row:,}, zeros and all"
        self.checks.add(row, Code.NOT_IN_REGISTER, "voter_number", number, expected)
