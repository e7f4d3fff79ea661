"""Late lists as text: headings, separators, encodings, names, dates; every row stays a row."""

from __future__ import annotations

import dataclasses
import hashlib
from datetime import date

import pytest

from app.intake.fault_codes import Code
from app.intake.faults import Faults
from app.intake.late_headings import SYNONYMS, ColumnNames
from app.intake.late_lines import printed_line
from app.intake.late_lists import MAX_BYTES, read_late_list
from app.rules.faults import BadRequest
from app.rules.late_list import ListKind
from app.rules.line import Part
from tests.intake.late_listing import (
    FACTS,
    HEADINGS,
    MAIL,
    ODETTE,
    SILAS,
    as_text,
    fault_of,
    listing,
    problems,
    read,
    row_of,
)
from tests.making import setting

BORN = date(1980, 5, 17)


def with_birth_date(text: str) -> bytes:
    return listing({**ODETTE, "birth_date": text})


def with_name(name: str) -> bytes:
    return as_text([["Voter ID", "Name"], ["1001", name]]).encode()


def test_a_plain_list_is_read_as_it_stands() -> None:
    content = listing(ODETTE, SILAS)
    late = read(content)
    assert [row.row_number for row in late.rows] == [2, 3]
    first = late.rows[0]
    assert (first.voter_number, first.last_name, first.first_name) == (
        "1001",
        "Quillfeather",
        "Odette",
    )
    assert first.birth_date == BORN
    assert first.problems == ()
    assert (late.encoding, late.separator, late.ignored, late.titles) == ("UTF-8", ",", (), ())
    assert late.digest == hashlib.sha256(content).hexdigest()


def test_a_heading_row_alone_is_a_list_of_nobody() -> None:
    assert read(listing()).rows == ()


@pytest.mark.parametrize(("column", "headings"), sorted(SYNONYMS.items()))
def test_every_usual_heading_is_known_in_any_writing(column: str, headings: str) -> None:
    names = ColumnNames({})
    for heading in headings.split(";"):
        for written in (heading, heading.upper(), heading.strip().replace(" ", "_")):
            assert names.column(written) == column
    assert names.column(column) == column


def test_no_usual_heading_stands_for_two_things() -> None:
    names = ColumnNames({})
    for column, headings in SYNONYMS.items():
        assert {names.column(heading) for heading in headings.split(";")} == {column}


@pytest.mark.parametrize("heading", ["Favourite colour", "", "-", "Phone"])
def test_a_heading_that_is_not_known_is_not_guessed_at(heading: str) -> None:
    assert ColumnNames({}).column(heading) is None


def test_a_column_that_is_not_used_is_named() -> None:
    content = as_text([["Voter #", "Ballot mailed", "", ""], ["1001", "2027-02-11", "x", ""]])
    assert read(content.encode()).ignored == ("Ballot mailed", "column 3")


def test_the_offices_own_headings_are_known_from_the_package() -> None:
    content = as_text([["Kennung", "Surname", "Given name"], ["1001", "Pell", "Odette"]]).encode()
    assert row_of(content).voter_number == ""
    own = dataclasses.replace(FACTS, headings={"voter_number": "Kennung"})
    assert row_of(content, facts=own).voter_number == "1001"


def test_titles_above_the_headings_are_shown_and_are_no_rows() -> None:
    titles = "Tern County\nPrecinct,4-07,Election,tern-2027-03-02\n\nVoters by mail\n"
    late = read(titles.encode() + listing(ODETTE))
    assert late.titles == (
        "Tern County",
        "Precinct 4-07 Election tern-2027-03-02",
        "Voters by mail",
    )
    assert [row.row_number for row in late.rows] == [6]


def test_a_list_without_headings_is_refused_and_not_read_by_position() -> None:
    fault = fault_of(b"1001,Quillfeather,Odette,1980-05-17\n")
    assert (fault.code, fault.row) == (Code.NO_HEADING_ROW, 1)


def test_two_columns_for_the_same_thing_are_refused() -> None:
    content = as_text([["Voter ID", "Registration number", "Surname"], ["1", "2", "Pell"]])
    fault = fault_of(content.encode())
    assert (fault.code, fault.column) == (Code.DUPLICATE_COLUMN, "Voter ID")


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_any_usual_separator(separator: str) -> None:
    rows = [list(HEADINGS.values()), ["1001", "Quill, feather; Jr", "Odette", "1980-05-17"]]
    late = read(as_text(rows, separator).encode())
    assert late.separator == separator
    assert late.rows[0].last_name == "Quill, feather; Jr"
    assert late.rows[0].problems == ()


def test_the_line_in_which_a_spreadsheet_names_its_separator() -> None:
    late = read(b"sep=;\r\n" + as_text([list(HEADINGS.values()), ["1001"] * 4], ";").encode())
    assert late.separator == ";"
    assert late.rows[0].row_number == 3


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_the_encoding_is_found_and_said(encoding: str, said: str) -> None:
    people = ({**ODETTE, "last_name": "Muñiz"}, {**SILAS, "first_name": "Renée"})
    late = read(listing(*people).decode().encode(encoding))
    assert late.encoding == said
    assert [row.last_name for row in late.rows] == ["Muñiz", "Abbott"]
    assert [row.first_name for row in late.rows] == ["Odette", "Renée"]
    assert all(not row.problems for row in late.rows)


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-32"])
def test_an_encoding_that_does_not_say_which_it_is_is_refused(encoding: str) -> None:
    fault = fault_of(listing(ODETTE).decode().encode(encoding))
    assert fault.code is Code.ENCODING_UNKNOWN


def test_bytes_that_no_encoding_has_are_a_fault_of_their_row_alone() -> None:
    content = listing({**ODETTE, "last_name": "Mu\x81iz"}, SILAS).decode().encode("latin-1")
    broken, whole = read(content).rows
    assert problems(broken) == [("Last name", Code.LOST_CHARACTER)]
    assert (broken.last_name, broken.voter_number) == ("", "1001")
    assert whole.problems == ()


def test_a_list_that_was_pasted_together_from_two_encodings() -> None:
    rows = [{**ODETTE, "last_name": name} for name in ("Muñiz", "Peña", "Núñez")]
    content = listing(*rows) + "1009,Ibáñez,Ana,1980-05-17\r\n".encode("cp1252")
    late = read(content)
    assert late.encoding == "UTF-8"
    assert [row.problems for row in late.rows] == [(), (), (), (Code.LOST_CHARACTER,)]


def test_a_list_in_utf_8_that_ends_inside_a_letter_stays_in_utf_8() -> None:
    content = listing({**ODETTE, "last_name": "Muñiz"}) + b"1009,Pe\xc3"
    late = read(content)
    assert late.encoding == "UTF-8"
    assert late.rows[0].last_name == "Muñiz"
    assert set(late.rows[1].problems) == {Code.ROW_TOO_SHORT, Code.LOST_CHARACTER}


def test_one_letter_of_windows_1252_at_the_very_end_is_that_letter() -> None:
    late = read(b"Voter ID,Surname,Given name\n1001,Pell,Ren\xe9")
    assert (late.encoding, late.rows[0].first_name) == ("Windows-1252", "Ren\xe9")


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", Code.FILE_EMPTY),
        (b"\xef\xbb\xbf \r\n", Code.FILE_EMPTY),
        (b",,,\n", Code.FILE_EMPTY),
        (b"%PDF-1.7 ...", Code.NOT_TEXT),
        (b"\x1f\x8b\x08\x00", Code.NESTED_ARCHIVE),
        (bytes(range(32)) * 20, Code.NOT_TEXT),
        (b"x" * (MAX_BYTES + 1), Code.FILE_TOO_LARGE),
        (b"Voter ID,Surname\n" + b'1,"x\n' * 300, Code.QUOTE_NOT_CLOSED),
        (b"Dear lead, the list comes later.\n", Code.NO_HEADING_ROW),
    ],
)
def test_what_is_no_list_at_all_is_refused_with_what_to_do(content: bytes, code: Code) -> None:
    fault = fault_of(content)
    assert fault.code is code
    assert fault.what_to_do


def test_more_rows_than_any_county_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.intake.late_lists.MAX_ROWS", 2)
    assert len(read(listing(ODETTE, SILAS)).rows) == 2
    assert fault_of(listing(ODETTE, SILAS, ODETTE)).code is Code.TOO_MANY_ROWS


def test_a_row_whose_quotation_mark_never_closes_hides_no_other_row() -> None:
    content = b'Voter ID,Surname,Born\n1001,"Pell,1980-05-17\n1002,Abbott,1944-11-30\n'
    broken, whole = read(content).rows
    assert broken.problems == (Code.QUOTE_NOT_CLOSED,)
    assert broken.row_number == 2
    assert (whole.voter_number, whole.problems) == ("1002", ())


def test_two_stray_quotation_marks_do_not_make_one_row_of_the_rows_between_them() -> None:
    content = b'Voter ID,Surname,Born\n1001,"Pell,\n1002,Abbott,\n1003,Crane,"\n1004,Dace,\n'
    late = read(content)
    assert [row.row_number for row in late.rows] == [2, 3, 4, 5]
    assert late.rows[3].voter_number == "1004"
    assert late.rows[0].problems == (Code.QUOTE_NOT_CLOSED,)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("1001,Quillfeather", Code.ROW_TOO_SHORT),
        ("1001,Quill,feather,Odette,1980-05-17", Code.ROW_TOO_LONG),
    ],
)
def test_a_ragged_row_is_a_row_with_a_fault(line: str, code: Code) -> None:
    content = listing() + f"{line}\r\n".encode() + listing(SILAS).split(b"\r\n", 1)[1]
    ragged, whole = read(content).rows
    assert code in ragged.problems
    assert whole.problems == ()


def test_blank_cells_behind_the_last_heading_are_no_fault() -> None:
    assert row_of(listing() + b"1001,Quillfeather,Odette,1980-05-17,,,\r\n").problems == ()


def test_a_blank_row_is_no_row() -> None:
    late = read(listing() + b",,,\r\n\r\n1001,Quillfeather,Odette,1980-05-17\r\n")
    assert [row.row_number for row in late.rows] == [4]


@pytest.mark.parametrize(
    "text",
    [
        "1980-05-17",
        "1980/5/17",
        "5/17/1980",
        "05-17-1980",
        "5.17.1980",
        "5/17/80",
        "17 May 1980",
        "17-May-80",
        "May 17, 1980",
        "17 mayo 1980",
        "19800517",
        "05171980",
        "1980-05-17 00:00:00",
        "1980-05-17T00:00:00.000",
        "5/17/1980 12:00:00 AM",
        "1980\u201105\u201117",
    ],
)
def test_a_birth_date_in_any_usual_spelling(text: str) -> None:
    row = row_of(with_birth_date(text))
    assert (row.birth_date, row.problems) == (BORN, ())


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1981-02-29", Code.BIRTH_DATE_IMPOSSIBLE),
        ("2/29/1981", Code.BIRTH_DATE_IMPOSSIBLE),
        ("29 Feb 1900", Code.BIRTH_DATE_IMPOSSIBLE),
        ("17/5/1980", Code.BIRTH_DATE_IMPOSSIBLE),
        ("1980-17-05", Code.BIRTH_DATE_IMPOSSIBLE),
        ("29358", Code.BIRTH_DATE_UNREADABLE),
        ("1980", Code.BIRTH_DATE_UNREADABLE),
        ("May 1980", Code.BIRTH_DATE_UNREADABLE),
        ("17 Mai 1980 or so", Code.BIRTH_DATE_UNREADABLE),
        ("1980-05-17 13:05", Code.BIRTH_DATE_UNREADABLE),
        ("١٩٨٠-٠٥-١٧", Code.BIRTH_DATE_UNREADABLE),
        ("1880-05-17", Code.BIRTH_DATE_TOO_EARLY),
        ("2027-03-03", Code.BIRTH_DATE_IN_FUTURE),
        ("unknown", Code.BIRTH_DATE_UNREADABLE),
    ],
)
def test_a_birth_date_that_cannot_be_stays_a_row_without_one(text: str, code: Code) -> None:
    row = row_of(with_birth_date(text))
    assert row.birth_date is None
    assert (row.voter_number, row.last_name) == ("1001", "Quillfeather")
    assert problems(row) == [("Birth date", code)]


def test_the_29th_of_february_of_a_leap_year_is_a_day() -> None:
    assert row_of(with_birth_date("2/29/1980")).birth_date == date(1980, 2, 29)
    assert row_of(with_birth_date("2/29/2000")).birth_date == date(2000, 2, 29)


def test_day_and_month_are_read_in_the_order_of_the_place_and_never_in_the_other() -> None:
    day_first = dataclasses.replace(FACTS, date_order="day_first")
    assert row_of(with_birth_date("3/4/1987")).birth_date == date(1987, 3, 4)
    assert row_of(with_birth_date("3/4/1987"), facts=day_first).birth_date == date(1987, 4, 3)
    assert row_of(with_birth_date("17/5/1980"), facts=day_first).birth_date == BORN
    swapped = row_of(with_birth_date("5/17/1980"), facts=day_first)
    assert swapped.problems == (Code.BIRTH_DATE_IMPOSSIBLE,)
    assert "day first" in swapped.faults[0].expected


def test_two_digits_of_a_year_are_those_of_somebody_old_enough_to_be_listed() -> None:
    assert row_of(with_birth_date("5/17/11")).birth_date == date(2011, 5, 17)
    assert row_of(with_birth_date("5/17/12")).birth_date == date(1912, 5, 17)


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("Pell, Odette Marie", ("Pell", "Odette", "Marie", "")),
        ("Pell, Odette", ("Pell", "Odette", "", "")),
        ("PELL JR, ODETTE", ("PELL", "ODETTE", "", "JR")),
        ("Pell, Odette Marie, Jr.", ("Pell", "Odette", "Marie", "Jr.")),
        ("Pell, III, Odette", ("Pell", "Odette", "", "III")),
        ("de la Cruz, Ana Sr", ("de la Cruz", "Ana", "", "Sr")),
        ("Pell , Odette  Marie Rue", ("Pell", "Odette", "Marie Rue", "")),
        ("Sukarno", ("Sukarno", "", "", "")),
        ("Pell,", ("Pell", "", "", "")),
    ],
)
def test_a_name_in_one_column_is_taken_apart(name: str, parts: tuple[str, ...]) -> None:
    row = row_of(with_name(name))
    assert (row.last_name, row.first_name, row.middle_name, row.suffix) == parts
    assert row.problems == ()


@pytest.mark.parametrize(
    "name", ["Odette Marie Pell", ", Odette", "Pell, Odette, Rue", "Pell Jr, Odette Sr"]
)
def test_a_name_that_could_be_parted_in_two_ways_is_left_whole(name: str) -> None:
    row = row_of(with_name(name))
    assert problems(row)[0] == ("Name", Code.NAME_ORDER_UNKNOWN)
    assert row.last_name == " ".join(name.split())


def test_columns_of_their_own_are_kept_beside_a_name_in_one_column() -> None:
    content = as_text([["Voter ID", "Name", "Suffix"], ["1001", "Pell, Odette", "Jr"]]).encode()
    assert (row_of(content).last_name, row_of(content).suffix) == ("Pell", "Jr")


@pytest.mark.parametrize("cell", ["=1000+1", '="0001001"', "#REF!", "#N/A"])
def test_a_formula_is_refused_with_its_row_and_column(cell: str) -> None:
    row = row_of(listing({**ODETTE, "voter_number": cell}))
    (fault,) = row.faults
    assert (fault.code, fault.row, fault.column) == (Code.FORMULA_CELL, 2, "Voter number")
    assert fault.found == cell
    assert (row.voter_number, row.last_name) == ("", "Quillfeather")


@pytest.mark.parametrize(
    ("column", "cell", "code"),
    [
        ("voter_number", "1E+06", Code.VOTER_NUMBER_SHAPE),
        ("last_name", "1980", Code.NAME_UNLIKELY),
        ("last_name", "Sm\u202eith", Code.DIRECTION_CHARACTER),
        ("last_name", "MuÃ±iz", Code.GARBLED_TEXT),
        ("first_name", "Od\u200bette", Code.INVISIBLE_CHARACTER),
        ("last_name", "x" * 2_001, Code.CELL_TOO_LONG),
    ],
)
def test_a_cell_that_cannot_be_right_is_a_fault_of_its_row(
    column: str, cell: str, code: Code
) -> None:
    spoiled, whole = read(listing({**ODETTE, column: cell}, SILAS)).rows
    assert problems(spoiled) == [(HEADINGS[column], code)]
    assert whole.problems == ()


def test_a_row_that_names_nobody_is_a_row_with_a_fault() -> None:
    row = row_of(listing({"first_name": "Odette"}))
    assert problems(row) == [("Voter number", Code.CELL_BLANK)]


@pytest.mark.parametrize("missing", ["voter_number", "first_name", "birth_date"])
def test_what_a_list_does_not_say_is_blank_and_no_fault(missing: str) -> None:
    assert row_of(listing({**ODETTE, missing: ""})).problems == ()


def test_rows_of_another_election_or_precinct_say_so() -> None:
    headings = {**HEADINGS, "election_id": "Election", "precinct": "Pct"}
    rows = [
        {**ODETTE, "election_id": "tern-2027-03-02", "precinct": "4-07"},
        {**ODETTE, "election_id": "tern-2026-11-03", "precinct": "4-07"},
        {**ODETTE, "election_id": "", "precinct": "4-08"},
    ]
    late = read(listing(*rows, headings=headings))
    assert [row.problems for row in late.rows] == [
        (),
        (Code.WRONG_ELECTION,),
        (Code.WRONG_PRECINCT,),
    ]


def test_initials_and_reasons_are_kept() -> None:
    content = as_text([["Voter ID", "Initials", "Reason"], ["1", "PO", "moved"]]).encode()
    row = row_of(content, ListKind.REMOVALS)
    assert (row.initials, row.reason) == ("PO", "moved")
    long = as_text([["Voter ID", "Initials"], ["1", "marked by hand"]]).encode()
    assert problems(row_of(long)) == [("Initials", Code.INITIALS_TOO_LONG)]


SUPPLEMENT = {
    **HEADINGS,
    "street_address": "Address",
    "ballot_button": "Button",
    "assistance": "Assistance",
}
NEWCOMER = {**ODETTE, "street_address": "4 Ropewalk Lane", "ballot_button": "2"}


def test_a_supplemental_row_becomes_a_line() -> None:
    content = listing({**NEWCOMER, "assistance": "y"}, headings=SUPPLEMENT)
    line = printed_line(row_of(content, ListKind.SUPPLEMENTAL))
    assert (line.voter_number, line.birth_date, line.ballot_button) == ("1001", BORN, 2)
    assert (line.street_address, line.assistance) == ("4 Ropewalk Lane", True)
    assert line.part is Part.SUPPLEMENTAL


@pytest.mark.parametrize(
    ("column", "cell", "code"),
    [
        ("voter_number", "", Code.CELL_BLANK),
        ("last_name", "", Code.CELL_BLANK),
        ("birth_date", "", Code.CELL_BLANK),
        ("street_address", "", Code.CELL_BLANK),
        ("ballot_button", "", Code.BUTTON_MISSING),
        ("ballot_button", "3", Code.UNKNOWN_BUTTON),
        ("ballot_button", "²", Code.UNKNOWN_BUTTON),
        ("assistance", "perhaps", Code.YES_OR_BLANK),
    ],
)
def test_a_supplemental_row_that_is_not_complete_becomes_no_line(
    column: str, cell: str, code: Code
) -> None:
    content = listing({**NEWCOMER, column: cell}, headings=SUPPLEMENT)
    row = row_of(content, ListKind.SUPPLEMENTAL)
    assert problems(row) == [(SUPPLEMENT[column], code)]
    with pytest.raises(BadRequest):
        printed_line(row)


def test_a_supplemental_list_names_all_the_columns_it_lacks() -> None:
    answer = read_late_list("new.csv", listing(ODETTE), ListKind.SUPPLEMENTAL, FACTS)
    assert isinstance(answer, Faults)
    assert [(fault.code, fault.column) for fault in answer.faults] == [
        (Code.MISSING_COLUMN, "street_address"),
        (Code.MISSING_COLUMN, "ballot_button"),
    ]


def test_facts_come_from_the_setting_of_the_day() -> None:
    facts = type(FACTS).of(setting(buttons=(1, 2)))
    assert facts == FACTS


def test_a_message_never_repeats_what_cannot_be_seen() -> None:
    content = as_text([["Voter ID", "Sur\u202ename"], ["1\u202e001", "x"]]).encode()
    answer = read_late_list("late\u202e.csv", content, MAIL, FACTS)
    assert str(answer).isprintable()
