"""Records to rows: the heading row is matched to our columns, each cell is folded and checked.

What a cell means is not looked at here: see `register` and `lists`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from operator import itemgetter
from typing import NamedTuple

from app.intake.cells import (
    CELL_CHARACTERS,
    character_fault,
    folded,
    is_undecoded,
)
from app.intake.csv_records import MAX_COLUMNS, Record, Records
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.text import decode_list
from app.rules.spreadsheet_cells import as_written

# A vote centre's register; a precinct has a few thousand.
MAX_ROWS = 200_000

# Lines are counted before they are taken apart, which costs 60 bytes each even where they are
# blank. Quoted line ends and blank rows are few.
MAX_LINES = 500_000

_OTHER_DELIMITERS = {";": "semicolons", "\t": "tabs", "|": "upright bars"}
_QUOTED = re.compile(r'"[^"]*"')


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns a list may have, in the order in which `Row.cells` holds them.

    `passed_over` are columns that an exported list has and a package does not need.
    """

    known: tuple[str, ...]
    required: frozenset[str]
    passed_over: frozenset[str] = frozenset()


class Row(NamedTuple):
    """One record. `cells` are in the order of `Columns.known`, folded, empty where blank or absent.

    `at_fault` names the columns that already have a fault and are not worth a second one.
    """

    number: int
    cells: tuple[str, ...]
    at_fault: frozenset[str]


def open_table(
    file: str, data: bytes, columns: Columns, headings: Mapping[str, str], faults: FaultList
) -> Table | None:
    """Read the heading row; None where the file has no heading row to go by.

    `headings` maps our column names to the headings that the files use instead.
    """
    text = decode_list(file, data, faults)
    if text is None or not _has_few_lines(file, text, faults):
        return None
    records = Records(file, text, faults)
    header = next(iter(records), None)
    if records.broken:
        # The heading row itself is broken: the row that came instead is not one.
        return None
    if header is None:
        faults.add(Code.FILE_EMPTY, file, expected="a heading row")
        return None
    if _has_wrong_delimiter(file, header.number, records.first_line, faults):
        return None
    return Table(file, header, records, columns, headings, faults)


def _has_few_lines(file: str, text: str, faults: FaultList) -> bool:
    lines = max(text.count("\n"), text.count("\r"))
    if lines <= MAX_LINES:
        return True
    expected = f"at most {MAX_LINES:,} lines"
    faults.add(Code.TOO_MANY_ROWS, file, found=f"{lines:,} lines", expected=expected)
    return False


def _has_wrong_delimiter(file: str, row: int, line: str, faults: FaultList) -> bool:
    expected = "commas"
    found = ""
    bare = _QUOTED.sub("", line)
    for delimiter, name in _OTHER_DELIMITERS.items():
        if bare.count(delimiter) > bare.count(","):
            found = name
    if line.lower().startswith("sep="):
        # Some spreadsheets write this line for themselves; it is not part of the list.
        found, expected = line.strip(), "commas, and the heading row as the first line"
    if found:
        faults.add(Code.WRONG_DELIMITER, file, row=row, found=found, expected=expected)
    return bool(found)


class Table:
    """A list whose heading row has been read. `absent` are required columns it does not have."""

    def __init__(
        self,
        file: str,
        header: Record,
        records: Records,
        columns: Columns,
        headings: Mapping[str, str],
        faults: FaultList,
    ) -> None:
        self.file = file
        self._records = records
        self._faults = faults
        self._columns = columns
        self._width = len(header.cells)
        self._headings = headings
        self._header = [folded(cell) for cell in header.cells]
        self._was_cut = False
        self._places = self._find_places(header.number)
        self.absent = columns.required - self._places.keys()
        self._add_missing()

    @property
    def is_whole(self) -> bool:
        """Whether every record could be told apart; known only once `rows` has come to its end."""
        return not (self._was_cut or self._records.broken)

    def has(self, column: str) -> bool:
        """Whether the file has this column."""
        return column in self._places

    def heading(self, column: str) -> str:
        """The heading that the file has, or should have, for one of our columns."""
        if column in self._places:
            return self._header[self._places[column]]
        return self._headings.get(column, column)

    def rows(self) -> Iterator[Row]:
        """Every row that is not blank, once; faults are added as the rows are reached."""
        # An absent column points at the blank cell that is put behind the last one.
        pick = itemgetter(*(self._places.get(name, -1) for name in self._columns.known))
        every_column = frozenset(self._columns.known)
        is_unusual = self._records.is_suspect or not self._records.is_ascii
        count = 0
        for number, raw, characters in self._records:
            cells = [_cell(cell) for cell in raw]
            if not any(cells):
                continue
            count += 1
            if count > MAX_ROWS:
                expected = f"at most {MAX_ROWS:,} rows"
                self._was_cut = True
                self._faults.add(Code.TOO_MANY_ROWS, self.file, row=number, expected=expected)
                return
            at_fault = self.absent
            if len(cells) != self._width:
                self._add_ragged(number, len(cells))
                at_fault = every_column
                cells = (cells + [""] * self._width)[: self._width]
            elif is_unusual or characters > CELL_CHARACTERS:
                at_fault = at_fault | self._check_cells(number, raw, cells)
            cells.append("")
            yield Row(number, pick(cells), at_fault)

    def _check_cells(self, number: int, raw: list[str], cells: list[str]) -> frozenset[str]:
        """The columns whose cells cannot be used. Spaces are folded, so `raw` is looked at."""
        at_fault: set[str] = set()
        only_unusual = not self._records.is_suspect
        for place, cell in enumerate(raw):
            if only_unusual and cell.isascii() and len(cell) <= CELL_CHARACTERS:
                continue
            if self._has_cell_fault(number, place, cell):
                at_fault.update(name for name, at in self._places.items() if at == place)
                cells[place] = ""
        return frozenset(at_fault)

    def _has_cell_fault(self, number: int, place: int, cell: str) -> bool:
        if is_undecoded(cell):
            return True
        expected = "letters that can be seen"
        found = cell
        code = character_fault(cell)
        if len(cell) > CELL_CHARACTERS:
            code, found = Code.CELL_TOO_LONG, f"{len(cell):,} characters"
            expected = f"at most {CELL_CHARACTERS:,} characters"
        if code is None:
            return False
        self._faults.add(
            code,
            self.file,
            row=number,
            column=self._header[place],
            found=found,
            expected=expected,
        )
        return True

    def _add_ragged(self, number: int, width: int) -> None:
        code = Code.ROW_TOO_SHORT if width < self._width else Code.ROW_TOO_LONG
        found, expected = _cells(width), _cells(self._width)
        self._faults.add(code, self.file, row=number, found=found, expected=expected)

    def _find_places(self, row: int) -> dict[str, int]:
        """Where each of our columns stands in the file; adds the faults of the heading row."""
        if self._width > MAX_COLUMNS:
            found, expected = _cells(self._width), f"at most {MAX_COLUMNS}"
            self._faults.add(
                Code.TOO_MANY_COLUMNS, self.file, row=row, found=found, expected=expected
            )
        places: dict[str, int] = {}
        ours = {heading: name for name, heading in self._headings.items()}
        for place, heading in enumerate(self._header[:MAX_COLUMNS]):
            name = ours.get(heading, heading)
            code, expected = None, ""
            if not heading:
                code, expected = Code.BLANK_HEADER, f"a heading for column {place + 1}"
            elif name in self._columns.passed_over:
                continue
            elif name not in self._columns.known:
                code, expected = Code.UNKNOWN_COLUMN, self._likely_heading(heading)
            elif name in places:
                code, expected = Code.DUPLICATE_COLUMN, f"{name} once"
            else:
                places[name] = place
            if code:
                self._faults.add(
                    code, self.file, row=row, column=heading, found=heading, expected=expected
                )
        return places

    def _likely_heading(self, heading: str) -> str:
        known = [self._headings.get(name, name) for name in self._columns.known]
        wanted = heading.lower().replace(" ", "_").replace("-", "_")
        near = get_close_matches(wanted, known, n=1, cutoff=0.75)
        return f"perhaps {near[0]}" if near else "one of " + ", ".join(known)

    def _add_missing(self) -> None:
        for name in self._columns.known:
            if name in self.absent:
                heading = self._headings.get(name, name)
                expected = name if heading == name else f"{heading} (our {name})"
                self._faults.add(
                    Code.MISSING_COLUMN, self.file, row=1, column=heading, expected=expected
                )


def _cell(raw: str) -> str:
    """The cell, spaces folded, without the apostrophe that keeps a spreadsheet from running it."""
    cell = " ".join(raw.split())
    return as_written(cell) if cell.startswith("'") else cell


def _cells(count: int) -> str:
    return "1 cell" if count == 1 else f"{count:,} cells"
