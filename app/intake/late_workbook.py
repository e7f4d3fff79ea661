"""A late list that is a workbook (.xlsx): its one filled sheet to rows.

openpyxl does the reading. Before it sees the file, sizes are checked, and every part is looked
through once for what openpyxl passes over without a word: rows and cells out of order, a sheet
that is missing, another dialect of the format. A formula is never worked out nor its last
result believed.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from datetime import date, datetime
from typing import Any, NamedTuple

from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.late_cells import (
    MAX_COLUMNS,
    MAX_ROWS,
    RawCell,
    RawRow,
    Unusable,
    is_blank,
    text_cell,
)
from app.intake.late_workbook_parts import Parts, PartsDamaged
from app.intake.zip_damage import ZIP_DAMAGE

# 100,000 rows of ten cells unpack to about this.
_UNPACKED_BYTES = 64_000_000

# Sheets pack to between a fifth and a thirtieth; below a megabyte a bomb does no harm.
_LARGEST_RATIO = 200
_RATIO_COUNTS_FROM_BYTES = 1_000_000

# Sheets, styles, themes, pictures: a list has a dozen parts.
_MAX_PARTS = 500

_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
# The stream in which a locked .xlsx is kept inside an old workbook (MS-OFFCRYPTO 2.3).
_LOCKED = "EncryptedPackage".encode("utf-16-le")

# Spreadsheets keep 15 digits; what a longer number ends in was lost.
_LARGEST_EXACT = 10**15

# `0000000` shows 1417 as 0001417: what the office saw is what counts.
_LEADING_ZEROS = re.compile(r"0{2,32}")


def is_workbook(data: bytes) -> bool:
    """Whether these bytes are a workbook's, old or new, or some other zip."""
    return data.startswith((b"PK", _OLD_WORKBOOK))


def read_workbook(name: str, data: bytes, faults: FaultList) -> list[RawRow] | None:
    """The rows of the only filled sheet; None and a fault where there is no one such sheet."""
    if data.startswith(_OLD_WORKBOOK):
        code = Code.WORKBOOK_LOCKED if _LOCKED in data else Code.WORKBOOK_OLD
        faults.add(code, name, expected="a workbook (.xlsx) without a password")
        return None
    try:
        parts = _checked_parts(name, data, faults)
        return None if parts is None else _rows(name, data, parts, faults)
    except ZIP_DAMAGE as error:
        _add_damaged(name, type(error).__name__, faults)
    except PartsDamaged as error:
        _add_damaged(name, error.what, faults)
    return None


def _add_damaged(name: str, what: str, faults: FaultList) -> None:
    faults.add(Code.WORKBOOK_DAMAGED, name, found=what, expected="a workbook that opens whole")


def _checked_parts(name: str, data: bytes, faults: FaultList) -> Parts | None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        members = archive.infolist()
        if any(member.flag_bits & 0x1 for member in members):
            faults.add(Code.WORKBOOK_LOCKED, name, expected="a workbook without a password")
            return None
        # zipfile never unpacks more of a member than the size that is stated here.
        unpacked = sum(member.file_size for member in members)
        packed = max(1, sum(member.compress_size for member in members))
        is_bomb = unpacked > _RATIO_COUNTS_FROM_BYTES and unpacked > _LARGEST_RATIO * packed
        if unpacked > _UNPACKED_BYTES or is_bomb or len(members) > _MAX_PARTS:
            found = f"{unpacked:,} bytes in {len(members):,} parts once unpacked"
            expected = f"at most {_UNPACKED_BYTES:,} bytes"
            faults.add(Code.WORKBOOK_SWELLS, name, found=found, expected=expected)
            return None
        if "[Content_Types].xml" not in archive.namelist():
            faults.add(Code.NESTED_ARCHIVE, name, found="a zip archive", expected="a workbook")
            return None
        return Parts.read(archive)


class _Sheet(NamedTuple):
    title: str
    rows: list[RawRow]


def _rows(name: str, data: bytes, parts: Parts, faults: FaultList) -> list[RawRow] | None:
    sheets = _filled_sheets(data, parts)
    if len(sheets) > 1:
        found = ", ".join(sheet.title for sheet in sheets)
        faults.add(Code.SEVERAL_SHEETS, name, found=found, expected="one filled sheet")
        return None
    rows = sheets[0].rows if sheets else []
    if any(len(row.cells) > MAX_COLUMNS for row in rows):
        expected = f"at most {MAX_COLUMNS} columns"
        faults.add(Code.TOO_MANY_COLUMNS, name, expected=expected)
        return None
    return rows


def _filled_sheets(data: bytes, parts: Parts) -> list[_Sheet]:
    import openpyxl  # takes a third of a second: only where a workbook comes

    try:
        # They are about what is not read here: filters, pictures, printing.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
            if len(book.sheetnames) != parts.sheets:
                raise PartsDamaged("a sheet is missing")
            sheets = [_Sheet(sheet.title, _sheet_rows(sheet)) for sheet in book.worksheets]
            book.close()
    except (PartsDamaged, MemoryError):
        raise
    except Exception as error:
        # openpyxl raises whatever a damaged part makes it stumble over.
        raise PartsDamaged(type(error).__name__) from error
    return [sheet for sheet in sheets if sheet.rows]


def _sheet_rows(sheet: Any) -> list[RawRow]:  # the types of openpyxl know no read-only sheet
    # The size that a sheet states for itself may be wrong, and then rows would be left out.
    sheet.reset_dimensions()
    rows: list[RawRow] = []
    widest = MAX_COLUMNS + 1
    for number, cells in enumerate(sheet.iter_rows(max_col=widest), start=1):
        raw = [_raw(cell) for cell in cells]
        while raw and is_blank(raw[-1]):
            raw.pop()
        if raw:
            rows.append(RawRow(number, tuple(raw)))
        if len(rows) > MAX_ROWS + 1:
            break  # refused by whoever counts them; no need to read on
    return rows


def _raw(cell: Any) -> RawCell:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type in ("f", "e"):
        return Unusable(Code.FORMULA_CELL, str(getattr(value, "text", None) or value))
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, str):
        return text_cell(value)
    if isinstance(value, bool):
        return "Y" if value else ""
    if isinstance(value, int | float):
        return _number(value, str(cell.number_format))
    return str(value)


def _number(value: int | float, number_format: str) -> RawCell:
    """A number as the sheet shows it, where it is a whole one."""
    if abs(value) >= _LARGEST_EXACT:
        return Unusable(Code.VOTER_NUMBER_SHAPE, f"{value}")
    if value != int(value):
        return str(value)
    digits = str(int(value))
    is_padded = value >= 0 and _LEADING_ZEROS.fullmatch(number_format)
    return digits.zfill(len(number_format)) if is_padded else digits
