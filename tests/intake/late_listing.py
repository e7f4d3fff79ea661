"""Late lists in memory: as text in any encoding, and as workbooks. All people are invented."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

import openpyxl

from app.intake.fault_codes import Code
from app.intake.faults import Fault, Faults
from app.intake.late_lists import LateRows, read_late_list
from app.intake.late_rows import LateFacts, LateRow
from app.rules.late_list import ListKind

FACTS = LateFacts("tern-2027-03-02", date(2027, 3, 2), "4-07", buttons=frozenset({1, 2}))
MAIL = ListKind.MAIL_VOTED

HEADINGS = {
    "voter_number": "Voter number",
    "last_name": "Last name",
    "first_name": "First name",
    "birth_date": "Birth date",
}
ODETTE = {
    "voter_number": "1001",
    "last_name": "Quillfeather",
    "first_name": "Odette",
    "birth_date": "1980-05-17",
}
SILAS = {
    "voter_number": "1002",
    "last_name": "Abbott",
    "first_name": "Silas",
    "birth_date": "1944-11-30",
}


def as_text(rows: Iterable[Sequence[str]], separator: str = ",", line_end: str = "\r\n") -> str:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=line_end).writerows(rows)
    return out.getvalue()


def listing(*people: Mapping[str, str], headings: Mapping[str, str] = HEADINGS) -> bytes:
    """A list as CSV in UTF-8 of these people; a cell that somebody lacks is blank."""
    rows = [[person.get(column, "") for column in headings] for person in people]
    return as_text([list(headings.values()), *rows]).encode()


def workbook(*rows: Sequence[object], title: str = "List") -> bytes:
    """A workbook with these rows on its one sheet."""
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(content: bytes, kind: ListKind = MAIL, facts: LateFacts = FACTS) -> LateRows:
    """The list, which must have no fault as a whole."""
    answer = read_late_list("late.csv", content, kind, facts)
    assert isinstance(answer, LateRows), "\n".join(map(str, getattr(answer, "faults", ())))
    return answer


def row_of(content: bytes, kind: ListKind = MAIL, facts: LateFacts = FACTS) -> LateRow:
    """The only row of a list."""
    (row,) = read(content, kind, facts).rows
    return row


def fault_of(content: bytes, kind: ListKind = MAIL, facts: LateFacts = FACTS) -> Fault:
    """The only fault of a list that is refused as a whole."""
    answer = read_late_list("late.csv", content, kind, facts)
    assert isinstance(answer, Faults), "read without a fault"
    (fault,) = answer.faults
    return fault


def problems(row: LateRow) -> list[tuple[str | None, Code]]:
    """Column and code of each fault of a row."""
    return [(fault.column, fault.code) for fault in row.faults]
