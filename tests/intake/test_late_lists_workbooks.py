"""Late lists as workbooks: what cells hold, and what a reader could pass over in silence."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import openpyxl
import pytest

from app.intake.fault_codes import Code
from app.rules.late_list import ListKind
from tests.intake.late_listing import (
    FACTS,
    HEADINGS,
    as_text,
    fault_of,
    problems,
    read,
    row_of,
    saved,
    workbook,
)

HEADING_ROW = list(HEADINGS.values())
ODETTE = [1001, "Quillfeather", "Odette", date(1980, 5, 17)]
SILAS = ["1002", "Abbott", "Silas", "1944-11-30"]
SHEET = "xl/worksheets/sheet1.xml"


def repacked(content: bytes, **changes: Callable[[bytes], bytes] | None) -> bytes:
    """The workbook with parts changed, or left out where the change is None."""
    by_name = {"sheet": SHEET, "types": "[Content_Types].xml", "book": "xl/workbook.xml"}
    wanted = {by_name[name]: change for name, change in changes.items()}
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            change = wanted.get(name, _same)
            if change is not None:
                new.writestr(name, change(old.read(name)))
    return out.getvalue()


def _same(data: bytes) -> bytes:
    return data


def test_a_workbook_is_read_as_the_same_list_in_text_is() -> None:
    late = read(workbook(HEADING_ROW, ODETTE, SILAS))
    text = read(as_text([HEADING_ROW, ["1001", *ODETTE[1:3], "5/17/1980"], SILAS]).encode())
    assert late.encoding == "workbook"
    assert late.rows == text.rows
    assert [row.problems for row in late.rows] == [(), ()]


def test_cells_that_are_dates_and_cells_that_are_texts_are_both_birth_dates() -> None:
    for cell in (
        date(1980, 5, 17),
        datetime.fromisoformat("1980-05-17"),
        "5/17/1980",
        "17 May 1980",
    ):
        assert row_of(workbook(HEADING_ROW, [*ODETTE[:3], cell])).birth_date == date(1980, 5, 17)


def test_what_a_spreadsheet_stores_for_a_date_is_not_guessed_at() -> None:
    row = row_of(workbook(HEADING_ROW, [*ODETTE[:3], 29358]))
    assert (row.birth_date, problems(row)) == (
        None,
        [("Birth date", Code.BIRTH_DATE_UNREADABLE)],
    )


def test_a_date_outside_the_calendar_of_spreadsheets_is_an_error_in_its_row() -> None:
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.append(HEADING_ROW)
    sheet.append([*ODETTE[:3], 99_999_999])
    sheet["D2"].number_format = "yyyy-mm-dd"
    assert problems(row_of(saved(book))) == [("Birth date", Code.FORMULA_CELL)]


@pytest.mark.parametrize("formula", ["=1000+1", "=VLOOKUP(A1,B:C,2)", '="0001001"'])
def test_a_formula_cell_is_refused_with_row_and_column_and_the_others_are_read(
    formula: str,
) -> None:
    spoiled, whole = read(workbook(HEADING_ROW, [formula, *ODETTE[1:]], SILAS)).rows
    (fault,) = spoiled.faults
    assert (fault.code, fault.row, fault.column) == (Code.FORMULA_CELL, 2, "Voter number")
    assert (spoiled.voter_number, spoiled.last_name) == ("", "Quillfeather")
    assert whole.problems == ()


def test_an_array_formula_is_a_formula() -> None:
    from openpyxl.worksheet.formula import ArrayFormula

    book = openpyxl.Workbook()
    sheet: Any = book.active
    for row in (HEADING_ROW, ODETTE):
        sheet.append(row)
    sheet["A2"] = ArrayFormula("A2", "=SUM(F1:F2*1)")
    assert problems(row_of(saved(book))) == [("Voter number", Code.FORMULA_CELL)]


def test_a_formula_in_a_column_that_is_not_used_does_no_harm() -> None:
    late = read(workbook([*HEADING_ROW, "Age"], [*ODETTE, "=2027-1980"]))
    assert late.rows[0].problems == ()
    assert late.ignored == ("Age",)


def test_the_result_that_a_spreadsheet_kept_of_a_formula_is_not_believed() -> None:
    content = workbook(HEADING_ROW, ["=1000+1", *ODETTE[1:]])
    kept = repacked(content, sheet=lambda xml: xml.replace(b"<v />", b"<v>1001</v>"))
    assert b"<v>1001</v>" in zipfile.ZipFile(io.BytesIO(kept)).read(SHEET)
    assert row_of(kept).voter_number == ""


@pytest.mark.parametrize(
    ("value", "number_format", "number"),
    [
        (1001, "General", "1001"),
        (1001.0, "General", "1001"),
        (1001, "0000000", "0001001"),
        ("0001001", "@", "0001001"),
    ],
)
def test_a_voter_number_is_what_the_sheet_shows(
    value: object, number_format: str, number: str
) -> None:
    book = openpyxl.Workbook()
    sheet: Any = book.active
    for row in (HEADING_ROW, [value, *ODETTE[1:]]):
        sheet.append(row)
    sheet["A2"].number_format = number_format
    assert row_of(saved(book)).voter_number == number


@pytest.mark.parametrize("value", [1001.5, 10**16, date(2027, 4, 7), -5])
def test_a_number_that_the_spreadsheet_has_spoiled_is_a_fault(value: object) -> None:
    row = row_of(workbook(HEADING_ROW, [value, *ODETTE[1:]]))
    assert problems(row) == [("Voter number", Code.VOTER_NUMBER_SHAPE)]
    assert row.voter_number == ""


def test_a_precinct_that_the_spreadsheet_took_for_a_date_is_not_compared() -> None:
    rows = [[*HEADING_ROW, "Precinct"], [*ODETTE, date(2027, 4, 7)], [*SILAS, "4-08"]]
    assert [row.problems for row in read(workbook(*rows)).rows] == [(), (Code.WRONG_PRECINCT,)]


def test_yes_as_a_tick_of_the_spreadsheet() -> None:
    heads = [*HEADING_ROW, "Address", "Button", "Assistance"]
    rows = [[*ODETTE, "4 Ropewalk Lane", 1, True], [*SILAS, "5 Ropewalk Lane", 2, False]]
    late = read(workbook(heads, *rows), ListKind.SUPPLEMENTAL)
    assert [row.details["assistance"] for row in late.rows] == ["Y", ""]
    assert all(not row.problems for row in late.rows)


def test_the_size_that_a_sheet_states_of_itself_is_not_believed() -> None:
    content = workbook(HEADING_ROW, ODETTE, SILAS)
    short = repacked(
        content, sheet=lambda xml: re.sub(rb'<dimension ref="[^"]+"', b'<dimension ref="A1"', xml)
    )
    assert short != content
    assert read(short).rows == read(content).rows


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'<row r="3"', b'<row r="2"'),
        (b'<row r="2"', b'<row r="0"'),
        (b'<row r="3"', b'<row r="9999999"'),
        (b'<row r="3"', b'<row r="x"'),
        (b'r="B3"', b'r="A3"'),
        (b'r="B3"', b'r="B4"'),
        (b'r="B3"', b'r="3B"'),
        (b"http://schemas.openxmlformats.org/spreadsheetml/2006/main", b"http://x.test/strict"),
        (b"<sheetData", b"<!DOCTYPE x [<!ENTITY a 'b'>]><sheetData"),
        (b"</sheetData>", b""),
    ],
)
def test_a_sheet_that_would_lose_rows_in_silence_is_refused(old: bytes, new: bytes) -> None:
    content = workbook(HEADING_ROW, ODETTE, SILAS)
    spoiled = repacked(content, sheet=lambda xml: xml.replace(old, new))
    assert old in zipfile.ZipFile(io.BytesIO(content)).read(SHEET)
    assert fault_of(spoiled).code is Code.WORKBOOK_DAMAGED
    assert read(repacked(content)).rows == read(content).rows


@pytest.mark.parametrize(("number", "is_read"), [(b"2", False), (b"9999999", False), (b"7", True)])
def test_a_second_row_of_the_same_number_is_not_left_out_in_silence(
    number: bytes, is_read: bool
) -> None:
    """Row and cells agree with each other, and the row has another's number, or no sheet's."""
    renumbered = repacked(
        workbook(HEADING_ROW, ODETTE, SILAS),
        sheet=lambda xml: re.sub(rb'r="([A-Z]?)3"', rb'r="\g<1>' + number + b'"', xml),
    )
    if is_read:
        assert [row.row_number for row in read(renumbered).rows] == [2, 7]
    else:
        assert fault_of(renumbered).code is Code.WORKBOOK_DAMAGED


def test_a_document_type_at_the_head_of_a_part_is_refused() -> None:
    content = workbook(HEADING_ROW, ODETTE)
    spoiled = repacked(content, book=lambda xml: b"<!DOCTYPE workbook>" + xml)
    fault = fault_of(spoiled)
    assert (fault.code, fault.found) == (Code.WORKBOOK_DAMAGED, "a document type")


def test_a_workbook_whose_sheet_is_gone_is_refused() -> None:
    fault = fault_of(repacked(workbook(HEADING_ROW, ODETTE), sheet=None))
    assert fault.code is Code.WORKBOOK_DAMAGED


def test_two_filled_sheets_are_refused_even_where_one_is_hidden() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(HEADING_ROW, ODETTE)))
    other: Any = book.create_sheet("Later")
    assert len(read(saved(book)).rows) == 1
    other.sheet_state = "hidden"
    other.append(["one more"])
    fault = fault_of(saved(book))
    assert (fault.code, fault.found) == (Code.SEVERAL_SHEETS, "List, Later")


def test_rows_that_a_filter_hides_are_rows() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(HEADING_ROW, ODETTE, SILAS)))
    sheet: Any = book.active
    sheet.row_dimensions[3].hidden = True
    assert len(read(saved(book)).rows) == 2


def test_blank_rows_and_titles_keep_the_numbers_of_the_rows() -> None:
    late = read(workbook(["Voters by mail"], [], HEADING_ROW, [], ODETTE, [None, "  "], SILAS))
    assert [row.row_number for row in late.rows] == [5, 7]
    assert late.titles == ("Voters by mail",)


def test_cells_beside_the_headed_columns_are_named_and_not_used() -> None:
    late = read(workbook(HEADING_ROW, [*ODETTE, None, "called twice"]))
    assert late.rows[0].problems == ()
    assert late.ignored == ("column 6",)


def test_far_too_many_columns_are_refused() -> None:
    assert fault_of(workbook(HEADING_ROW, [*ODETTE, *["x"] * 400])).code is Code.TOO_MANY_COLUMNS


def test_an_empty_workbook_is_an_empty_list() -> None:
    assert fault_of(workbook()).code is Code.FILE_EMPTY
    assert fault_of(workbook(["Voters by mail"])).code is Code.NO_HEADING_ROW


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), Code.WORKBOOK_OLD),
        (
            b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"),
            Code.WORKBOOK_LOCKED,
        ),
        (b"PK\x03\x04 and no more", Code.WORKBOOK_DAMAGED),
    ],
)
def test_other_workbooks_are_told_apart(content: bytes, code: Code) -> None:
    assert fault_of(content).code is code


def test_a_zip_that_is_no_workbook_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mail-voted.csv", "Voter number\n1001\n")
    assert fault_of(out.getvalue()).code is Code.NESTED_ARCHIVE


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_half_a_workbook_is_refused(share: float) -> None:
    content = workbook(HEADING_ROW, ODETTE, SILAS)
    assert fault_of(content[: int(len(content) * share)]).code is Code.WORKBOOK_DAMAGED


@pytest.mark.parametrize("lost", [1, 5, 300])
def test_a_workbook_that_lost_a_few_bytes_on_the_way_is_refused(lost: int) -> None:
    content = workbook(HEADING_ROW, ODETTE, SILAS)
    for place in range(40, len(content) - lost, 97):
        less = content[:place] + content[place + lost :]
        assert fault_of(less).code in (Code.WORKBOOK_DAMAGED, Code.WORKBOOK_SWELLS)


@pytest.mark.parametrize("encoding", [b"utf-32", b"shift_jis", b"no-such-encoding"])
def test_a_part_in_an_encoding_that_cannot_be_read_is_refused(encoding: bytes) -> None:
    declared = b'<?xml version="1.0" encoding="' + encoding + b'"?>'
    spoiled = repacked(workbook(HEADING_ROW, ODETTE), book=lambda xml: declared + xml)
    assert fault_of(spoiled).code is Code.WORKBOOK_DAMAGED


def test_a_locked_part_is_refused() -> None:
    content = bytearray(workbook(HEADING_ROW, ODETTE))
    directory = content.index(b"PK\x01\x02")
    content[directory + 8] |= 1
    assert fault_of(bytes(content)).code is Code.WORKBOOK_LOCKED


def test_a_workbook_that_swells_is_refused_before_it_is_unpacked() -> None:
    out = io.BytesIO(workbook(HEADING_ROW, ODETTE))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/picture.png", bytes(20_000_000))
    assert fault_of(out.getvalue()).code is Code.WORKBOOK_SWELLS


def test_entities_do_not_swell_either() -> None:
    laughs = b"<!DOCTYPE x [<!ENTITY a '" + b"x" * 1_000 + b"'>]>"
    content = workbook(HEADING_ROW, ODETTE)
    spoiled = repacked(content, types=lambda xml: laughs + xml)
    assert fault_of(spoiled).code is Code.WORKBOOK_DAMAGED


def test_the_policys_order_of_dates_holds_for_text_in_a_workbook_too() -> None:
    row = row_of(workbook(HEADING_ROW, [*ODETTE[:3], "17/5/1980"]), facts=FACTS)
    assert row.problems == (Code.BIRTH_DATE_IMPOSSIBLE,)
