"""A late list, whatever the office made it with, to rows: the one entry into the `late_*` files.

Rows in are rows out: every row under the headings becomes one `LateRow`, with its faults where
it has any. Only what leaves no rows to speak of (no headings, no text, a locked workbook)
refuses the file. What a row means for a line is not known here: see `app.rules.late_list`.

    late_cells      what cells and rows are before they mean anything
    late_text       bytes -> text -> rows         late_workbook   .xlsx -> rows
    late_headings   which row is the heading row, which column is what
    late_rows       one row, cell by cell
    late_dates      birth dates in several forms  late_names      a name in one cell
    late_lines      a row of a supplemental list -> the line it adds
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from typing import NamedTuple

from app.intake.fault_codes import Code
from app.intake.faults import FaultList, Faults, shown
from app.intake.late_cells import MAX_COLUMNS, MAX_ROWS, RawRow
from app.intake.late_headings import ROWS_SEARCHED, ColumnNames, Headings
from app.intake.late_rows import LateFacts, LateRow, RowReader
from app.intake.late_text import SEPARATORS, Lines, TooManyBroken, decode
from app.intake.late_workbook import is_workbook, read_workbook
from app.rules.late_list import ListKind

# A county's list of 100,000 with addresses takes half of this.
MAX_BYTES = 16_000_000

# Where a workbook was read, there was no encoding to choose.
WORKBOOK = "workbook"

# Lines that are looked at to find separator and headings: titles and the heading row itself.
_LINES_SEARCHED = 3 * ROWS_SEARCHED

# What the lines of a supplemental list cannot do without.
_NEEDED_TO_ADD = ("voter_number", "last_name", "birth_date", "street_address")


@dataclass(frozen=True, slots=True)
class LateRows:
    """A list that was read.

    `digest`: the SHA-256 of the file, in hexadecimal. `encoding`: UTF-8, UTF-16, Windows-1252
    or `workbook`. `columns`: our column name -> the heading that was taken for it. `ignored`:
    headings that were not used. `titles`: what stands above the headings, a text a row.
    """

    name: str
    kind: ListKind
    digest: str
    encoding: str
    separator: str
    columns: Mapping[str, str]
    ignored: tuple[str, ...]
    titles: tuple[str, ...]
    rows: tuple[LateRow, ...]


def read_late_list(
    name: str, content: bytes, kind: ListKind, facts: LateFacts
) -> LateRows | Faults:
    """Every row of the list, or what is wrong with the file as a whole.

    `name` is the file's name without its folder, for messages. Nothing in `content` raises.
    """
    kind = ListKind(kind)
    faults = FaultList(name, {name: 0})
    source = _source(name, content, ColumnNames(facts.headings), faults)
    if source is None or not _has_columns(name, kind, source.headings, facts, faults):
        return faults.as_faults()
    reader = RowReader(
        name, kind, source.headings, facts, is_ragged_a_fault=source.encoding != WORKBOOK
    )
    rows = tuple(reader.row(raw) for raw in source.rows)
    return LateRows(
        name=shown(name),
        kind=kind,
        digest=hashlib.sha256(content).hexdigest(),
        encoding=source.encoding,
        separator=source.separator,
        columns={column: source.headings.heading(column) for column in source.headings.places},
        ignored=_ignored(source.headings, reader.unnamed),
        titles=tuple(shown(title, 200) for title in source.headings.titles),
        rows=rows,
    )


class _Source(NamedTuple):
    encoding: str
    separator: str
    headings: Headings
    rows: list[RawRow]


def _source(name: str, content: bytes, names: ColumnNames, faults: FaultList) -> _Source | None:
    """The heading row and the rows under it; None and a fault where there are none."""
    if len(content) > MAX_BYTES:
        found, expected = f"{len(content):,} bytes", f"at most {MAX_BYTES:,} bytes"
        faults.add(Code.FILE_TOO_LARGE, name, found=found, expected=expected)
        return None
    if not content.removeprefix(b"\xef\xbb\xbf").strip():
        faults.add(Code.FILE_EMPTY, name, found=f"{len(content)} bytes", expected="a list")
        return None
    if is_workbook(content):
        return _from_workbook(name, content, names, faults)
    return _from_text(name, content, names, faults)


def _from_workbook(
    name: str, content: bytes, names: ColumnNames, faults: FaultList
) -> _Source | None:
    rows = read_workbook(name, content, faults)
    if rows is None:
        return None
    if not rows:
        faults.add(Code.FILE_EMPTY, name, expected="a sheet with a list")
        return None
    headings = names.find(rows)
    if headings is None:
        _add_no_headings(name, rows[0], faults)
        return None
    below = [row for row in rows if row.number > headings.row_number]
    return _limited(name, _Source(WORKBOOK, "", headings, below), faults)


def _from_text(name: str, content: bytes, names: ColumnNames, faults: FaultList) -> _Source | None:
    decoded = decode(name, content, faults)
    if decoded is None:
        return None
    lines = Lines(decoded.text)
    try:
        separator, headings = _best_separator(lines, names)
        rows = lines.rows(separator)
        if headings is None:
            _add_no_headings(name, next(rows, None), faults)
            return None
        # One more than allowed is enough to know.
        at_most = MAX_ROWS + 1 + len(headings.titles) + 1
        below = [row for row in islice(rows, at_most) if row.number > headings.row_number]
    except TooManyBroken as broken:
        expected = "rows whose quotation marks close"
        faults.add(Code.QUOTE_NOT_CLOSED, name, row=broken.number, expected=expected)
        return None
    return _limited(name, _Source(decoded.encoding, separator, headings, below), faults)


def _best_separator(lines: Lines, names: ColumnNames) -> tuple[str, Headings | None]:
    """The separator under which the most headings are known."""
    choice = (lines.named_separator,) if lines.named_separator else SEPARATORS
    found = {each: names.find(lines.rows(each, _LINES_SEARCHED)) for each in choice}
    best = max(choice, key=lambda each: _known(found[each]))
    return best, found[best]


def _known(headings: Headings | None) -> int:
    return 0 if headings is None else len(headings.places)


def _add_no_headings(name: str, first: RawRow | None, faults: FaultList) -> None:
    if first is None:
        faults.add(Code.FILE_EMPTY, name, expected="a list")
        return
    expected = "a heading row, such as Voter number, Last name, First name, Birth date"
    cells = ", ".join(str(cell) for cell in first.cells if isinstance(cell, str))
    faults.add(Code.NO_HEADING_ROW, name, row=first.number, found=cells, expected=expected)


def _limited(name: str, source: _Source, faults: FaultList) -> _Source | None:
    if len(source.rows) > MAX_ROWS:
        faults.add(Code.TOO_MANY_ROWS, name, expected=f"at most {MAX_ROWS:,} rows")
        return None
    return source


def _has_columns(
    name: str, kind: ListKind, headings: Headings, facts: LateFacts, faults: FaultList
) -> bool:
    row, places = headings.row_number, set(headings.places)
    if headings.width > MAX_COLUMNS:
        expected = f"at most {MAX_COLUMNS} columns"
        faults.add(Code.TOO_MANY_COLUMNS, name, row=row, expected=expected)
    for column in dict.fromkeys(headings.twice):
        heading = headings.heading(column)
        faults.add(Code.DUPLICATE_COLUMN, name, row=row, column=heading, expected=f"{column} once")
    if kind is ListKind.SUPPLEMENTAL:
        if "name" in places:
            places.add("last_name")
        needed = [*_NEEDED_TO_ADD, *(["ballot_button"] if facts.buttons else [])]
        for column in needed:
            if column not in places:
                faults.add(Code.MISSING_COLUMN, name, row=row, column=column, expected=column)
    return faults.count == 0


def _ignored(headings: Headings, unnamed: set[int]) -> tuple[str, ...]:
    used = set(headings.places.values())
    headed = {place for place, text in enumerate(headings.texts) if text}
    return tuple(shown(headings.label(place)) for place in sorted((headed | unnamed) - used))
