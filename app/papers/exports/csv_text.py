"""Rows to a CSV file: RFC 4180, UTF-8, and no cell that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from app.rules.spreadsheet_cells import harmless


def csv_bytes(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """The heading row and the rows; every cell is text already."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def yes(is_so: bool) -> str:
    """`Y` or blank, as in a package."""
    return "Y" if is_so else ""
