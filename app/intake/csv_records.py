"""Text to records: the cells of each, and the line of the file on which it begins.

Quoting is RFC 4180: cells may hold commas and line ends inside quotation marks. A record that
cannot be read is a fault, and the next line is taken as the beginning of a new one, so that one
stray quotation mark does not hide the faults of all rows after it.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from typing import NamedTuple

from app.intake.cells import CELL_CHARACTERS, holds_suspect_character
from app.intake.fault_codes import Code
from app.intake.faults import FaultList

# The widest list has 17 columns; exports with a hundred are refused column by column.
MAX_COLUMNS = 200

# Longer records are a quotation mark that was never closed, or no list of people. Below the
# csv module's own limit for one cell (131,072), which is shared by the whole process.
_RECORD_CHARACTERS = 100_000
_RECORD_LINES = 100

# With its end. str.splitlines would also cut at U+2028 and others; io.StringIO takes four bytes a
# character.
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+")

# Each stray quotation mark costs a second look at up to _RECORD_LINES lines.
_BROKEN_RECORDS = 200


class Record(NamedTuple):
    number: int
    cells: list[str]
    characters: int


class Records:
    """The records of one file, blank lines left out; can be iterated in several goes."""

    def __init__(self, file: str, text: str, faults: FaultList) -> None:
        self.file = file
        self.faults = faults
        self.is_suspect = holds_suspect_character(text)
        self.is_ascii = text.isascii()
        self.first_line = ""
        self.broken = 0
        self._lines = _LINE.findall(text)
        self._begin = 0
        self._next = 0
        self._characters = 0

    def __iter__(self) -> Iterator[Record]:
        while self._begin < len(self._lines):
            reader = csv.reader(self._feed(), strict=True, skipinitialspace=True)
            try:
                for cells in reader:
                    number, characters = self._begin + 1, self._characters
                    self._begin, self._characters = self._next, 0
                    if any(cells):
                        self.first_line = self.first_line or self._lines[number - 1]
                        yield Record(number, cells, characters)
            except (csv.Error, _TooLong):
                self._report_broken()
                self._begin += 1
                if self.broken >= _BROKEN_RECORDS:
                    return

    def _feed(self) -> Iterator[str]:
        self._next, self._characters = self._begin, 0
        while self._next < len(self._lines):
            line = self._lines[self._next]
            self._next += 1
            self._characters += len(line)
            too_many = self._next - self._begin > _RECORD_LINES
            if too_many or self._characters > _RECORD_CHARACTERS:
                raise _TooLong
            yield line

    def _report_broken(self) -> None:
        self.broken += 1
        row, line = self._begin + 1, self._lines[self._begin]
        code, found, expected = Code.QUOTE_NOT_CLOSED, "", "a closing quotation mark"
        if len(line) > _RECORD_CHARACTERS:
            code = Code.CELL_TOO_LONG
            found = f"a row of {len(line):,} characters"
            expected = f"at most {CELL_CHARACTERS:,} characters in a cell"
            if line.count(",") > MAX_COLUMNS:
                code, expected = Code.TOO_MANY_COLUMNS, f"at most {MAX_COLUMNS} cells"
                found = f"{line.count(',') + 1:,} cells"
        self.faults.add(code, self.file, row=row, found=found, expected=expected)


class _TooLong(Exception):
    """A record reaches further than any record of a list does."""
