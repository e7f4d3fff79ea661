"""What one row of a late list is before anybody looks at what its cells mean.

Text files and workbooks both come down to this, so that the same checks hold for both.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from app.intake.fault_codes import Code

# A county's voters by mail; a precinct has some hundreds. A workbook takes 30 µs a cell.
MAX_ROWS = 100_000

# The widest list has some twenty columns; beyond this a sheet is no list.
MAX_COLUMNS = 200

# What a spreadsheet writes where a formula could not be worked out.
_ERRORS = ("#REF!", "#N/A", "#VALUE!", "#NAME?", "#NUM!", "#NULL!", "#DIV/0!")


@dataclass(frozen=True, slots=True)
class Unusable:
    """A cell that holds something which is no value, and what a person would see there."""

    code: Code
    found: str


# A date is a date only where a workbook says so; in text it is text.
RawCell = str | date | Unusable


class RawRow(NamedTuple):
    """One row that is not blank, heading row and titles included.

    `number` counts from 1: the line of a text file on which the row begins, or the row of the
    sheet. `fault` says why the row could not be taken apart; its one cell is the line as it is.
    """

    number: int
    cells: tuple[RawCell, ...]
    fault: Code | None = None


def text_cell(text: str) -> RawCell:
    """A cell of text; a formula is none, in whatever kind of file it stands."""
    bare = text.strip()
    if bare.startswith("=") or bare in _ERRORS:
        return Unusable(Code.FORMULA_CELL, bare)
    return text


def is_blank(cell: RawCell) -> bool:
    return isinstance(cell, str) and not cell.strip()
