"""Cells that a spreadsheet would run as a formula, made harmless and read back.

A spreadsheet takes a cell that begins with one of `= + - @`, a tab or a carriage return for a
formula (OWASP, "CSV Injection"). An apostrophe before it makes it text. Where a cell begins with
apostrophes before such a character already, one more is put, so that taking one away always gives
back what was written.
"""

from __future__ import annotations

# The wide forms too: some programs read them as the narrow ones.
_BEGINS_FORMULA = frozenset("=+-@\t\r＝＋－＠")
_APOSTROPHE = "'"


def harmless(cell: str) -> str:
    """The cell as it may stand in a file that somebody opens as a spreadsheet.

    >>> harmless("=HYPERLINK(1)")
    "'=HYPERLINK(1)"
    """
    return _APOSTROPHE + cell if _is_dangerous(cell) else cell


def as_written(cell: str) -> str:
    """The inverse of `harmless`; any other cell stays as it is.

    >>> as_written("'=HYPERLINK(1)"), as_written("'t Hart")
    ('=HYPERLINK(1)', "'t Hart")
    """
    is_guarded = cell.startswith(_APOSTROPHE) and _is_dangerous(cell)
    return cell[1:] if is_guarded else cell


def _is_dangerous(cell: str) -> bool:
    return cell.lstrip(_APOSTROPHE)[:1] in _BEGINS_FORMULA and cell.strip(_APOSTROPHE) != ""
