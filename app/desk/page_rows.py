"""A row of a supplemental page as a worker types it, read by the checks of supplemental files.

Only the birth date is read as everywhere at the table, and the number may be missing: a page
that was written by hand often has none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from app.desk.evidence import read_typed_birth_date
from app.desk.roster import Roster
from app.intake.fault_codes import Code
from app.intake.faults import Fault
from app.intake.late_cells import RawCell, RawRow
from app.intake.late_headings import Headings
from app.intake.late_rows import LateFacts, LateRow, RowReader
from app.rules.faults import BadRequest, BirthDateUnreadable
from app.rules.late_list import ListKind

_COLUMNS = (
    "voter_number",
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "birth_date",
    "street_address",
    "city",
    "postal_code",
    "party",
    "ballot_button",
    "assistance",
    "address_confirmation",
    "address_protected",
)
_HEADINGS = Headings(0, _COLUMNS, {name: at for at, name in enumerate(_COLUMNS)}, (), ())
_ADDRESS = frozenset({"street_address", "city", "postal_code"})


@dataclass(frozen=True, slots=True)
class PageRow:
    """What stands in the row, the birth date as typed. A secret address is not kept."""

    last_name: str
    birth_date: str
    voter_number: str = ""
    first_name: str = ""
    middle_name: str = ""
    suffix: str = ""
    street_address: str = ""
    city: str = ""
    postal_code: str = ""
    party: str = ""
    ballot_button: int | None = None
    assistance: bool = False
    address_confirmation: bool = False
    address_protected: bool = False


def read_page_row(roster: Roster, typed: PageRow) -> LateRow:
    """The row, numbered 1. BadRequest with every fault; BirthDateUnreadable where that is all."""
    cells = tuple(_cell(roster, typed, column) for column in _COLUMNS)
    facts = LateFacts.of(roster.setting)
    reader = RowReader("page", ListKind.SUPPLEMENTAL, _HEADINGS, facts, is_ragged_a_fault=False)
    row = reader.row(RawRow(1, cells))
    faults = list(_counting(row, typed))
    if [fault.code for fault in faults] == [Code.BIRTH_DATE_UNREADABLE]:
        raise BirthDateUnreadable
    if faults:
        raise BadRequest(faults=[_as_fact(fault) for fault in faults])
    return _without_faults(row)


def _without_faults(row: LateRow) -> LateRow:
    """What may be missing on a page is no fault of it."""
    return LateRow(
        row.row_number,
        row.voter_number,
        row.last_name,
        row.first_name,
        row.middle_name,
        row.suffix,
        row.birth_date,
        details={column: text for column, text in row.details.items() if text},
    )


def _cell(roster: Roster, typed: PageRow, column: str) -> RawCell:
    if column == "birth_date":
        return _birth_date(roster, typed.birth_date)
    if typed.address_protected and column in _ADDRESS:
        return ""
    value = getattr(typed, column)
    if isinstance(value, bool):
        return "Y" if value else ""
    return "" if value is None else str(value)


def _birth_date(roster: Roster, typed: str) -> date | str:
    try:
        return read_typed_birth_date(roster, typed)
    except BirthDateUnreadable:
        return typed


def _counting(row: LateRow, typed: PageRow) -> Iterator[Fault]:
    may_be_blank = {"voter_number"} | (_ADDRESS if typed.address_protected else set())
    for fault in row.faults:
        if fault.code is not Code.CELL_BLANK or fault.column not in may_be_blank:
            yield fault


def _as_fact(fault: Fault) -> dict[str, str]:
    """Without the cell itself: it may be a birth date."""
    return {
        "where": f"body.{fault.column}",
        "column": fault.column or "",
        "code": fault.code.value,
        "what": fault.sentence,
        "expected": fault.expected,
        "what_to_do": fault.what_to_do,
    }
