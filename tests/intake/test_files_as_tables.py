"""Lists that are no proper CSV in UTF-8: encoding, separators, quotes, headings, ragged rows."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from tests.intake.packing import (
    HEADER,
    faults_of,
    good_files,
    only_fault,
    row,
    spot,
    spots,
    table,
    with_register,
)

REGISTER = "register.csv"


@pytest.mark.parametrize("data", [b"", b"\n\n", b"\xef\xbb\xbf", b" \r\n "])
@pytest.mark.parametrize("name", [REGISTER, "mail-voted.csv", "election.toml"])
def test_an_empty_file(name: str, data: bytes, tmp_path: Path) -> None:
    fault = only_fault({**good_files(), name: data}, tmp_path)
    assert spot(fault) == (name, None, None, Code.FILE_EMPTY)


def test_a_file_of_commas_alone(tmp_path: Path) -> None:
    fault = only_fault({**good_files(), REGISTER: b",,,\n,,,\n"}, tmp_path)
    assert spot(fault) == (REGISTER, None, None, Code.FILE_EMPTY)


def test_a_register_that_is_a_heading_row_alone(tmp_path: Path) -> None:
    fault = only_fault(with_register(), tmp_path)
    assert spot(fault) == (REGISTER, None, None, Code.NO_ROWS)


@pytest.mark.parametrize(
    ("delimiter", "word"), [(";", "semicolons"), ("\t", "tabs"), ("|", "upright bars")]
)
def test_another_separator_is_one_fault_and_not_one_a_row(
    delimiter: str, word: str, tmp_path: Path
) -> None:
    files = good_files()
    files[REGISTER] = files[REGISTER].replace(b",", delimiter.encode())
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (REGISTER, 1, None, Code.WRONG_DELIMITER)
    assert fault.found == word


def test_the_line_that_some_spreadsheets_write_for_themselves(tmp_path: Path) -> None:
    files = good_files()
    files[REGISTER] = b"sep=,\n" + files[REGISTER]
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (REGISTER, 1, None, Code.WRONG_DELIMITER)


def test_windows_1252_is_named_with_row_position_and_letter(tmp_path: Path) -> None:
    rows = [row("1"), row("2", last_name="Muñiz"), row("3", last_name="Lefèvre")]
    data = table(rows).decode().encode("cp1252")
    fault = only_fault({**with_register(), REGISTER: data}, tmp_path)
    assert spot(fault) == (REGISTER, 3, None, Code.NOT_UTF8)
    assert f"position {data.index(0xF1) + 1:,}" in fault.found
    assert "F1" in fault.found
    assert "ñ in Windows-1252" in fault.found


def test_rows_beside_bad_bytes_are_still_checked(tmp_path: Path) -> None:
    rows = [row("1", last_name="Muñiz"), row("2", birth_date="1987-02-30")]
    data = table(rows).decode().encode("cp1252")
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    assert spots(faults) == [
        (REGISTER, 2, None, Code.NOT_UTF8),
        (REGISTER, 3, "birth_date", Code.BIRTH_DATE_IMPOSSIBLE),
    ]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("name", [REGISTER, "early-voted.csv", "election.toml"])
def test_utf_16_is_recognised(name: str, encoding: str, tmp_path: Path) -> None:
    files = good_files()
    files[name] = files[name].decode().encode(encoding)
    fault = only_fault(files, tmp_path)
    assert (fault.file, fault.code, fault.found) == (name, Code.NOT_UTF8, "UTF-16 text")


def test_a_file_that_ends_inside_a_letter(tmp_path: Path) -> None:
    data = table([row(mark_initials="ñ", mark="voted early")]).rstrip()[:-1]
    fault = only_fault({**with_register(), REGISTER: data}, tmp_path)
    assert spot(fault) == (REGISTER, 2, None, Code.NOT_UTF8)
    assert "ends inside a character" in fault.found


def test_a_workbook_that_was_only_renamed(tmp_path: Path) -> None:
    fault = only_fault({**good_files(), REGISTER: b"PK\x03\x04" + bytes(500)}, tmp_path)
    assert spot(fault) == (REGISTER, None, None, Code.NESTED_ARCHIVE)
    assert "workbook" in fault.found


def test_a_quotation_mark_that_is_never_closed_hides_no_other_row(tmp_path: Path) -> None:
    rows = [row("1"), row("2"), row("3", birth_date="1987-02-30"), *map(row, "456")]
    data = table(rows).replace(b"\n2,Quill", b'\n2,"Quill')
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    assert spots(faults) == [
        (REGISTER, 3, None, Code.QUOTE_NOT_CLOSED),
        (REGISTER, 4, "birth_date", Code.BIRTH_DATE_IMPOSSIBLE),
    ]


def test_a_quotation_mark_closed_by_that_of_a_later_row(tmp_path: Path) -> None:
    rows = [row("1"), row("2"), row("3", last_name="Quill, feather"), row("4")]
    data = table(rows).replace(b"\n1,Quill", b'\n1,"Quill')
    fault = only_fault({**with_register(), REGISTER: data}, tmp_path)
    assert spot(fault) == (REGISTER, 2, None, Code.QUOTE_NOT_CLOSED)


def test_a_quotation_mark_never_closed_in_a_long_file_is_found_quickly(tmp_path: Path) -> None:
    data = table(row(str(number)) for number in range(30_000)).replace(b"\n1,Q", b'\n1,"Q')
    fault = only_fault({**with_register(), REGISTER: data}, tmp_path)
    assert spot(fault) == (REGISTER, 3, None, Code.QUOTE_NOT_CLOSED)


def test_a_quotation_mark_closed_by_chance_far_below_swallows_no_rows(tmp_path: Path) -> None:
    rows = [row(str(number)) for number in range(1, 151)]
    rows[99] = row("100", ballot_button="9")
    data = table(rows).replace(b"\n1,Q", b'\n1,"Q').replace(b"\n140,Quillfeather", b'\n140,Quill"')
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    assert spots(faults) == [
        (REGISTER, 2, None, Code.QUOTE_NOT_CLOSED),
        (REGISTER, 101, "ballot_button", Code.UNKNOWN_BUTTON),
    ]


def test_a_number_in_a_broken_row_is_not_said_to_be_missing_from_the_register(
    tmp_path: Path,
) -> None:
    files = good_files()
    files[REGISTER] = files[REGISTER].replace(b"1002,Abb", b'1002,"Abb')
    assert [fault.code for fault in faults_of(files, tmp_path)] == [Code.QUOTE_NOT_CLOSED]


def test_a_register_cut_in_half_is_never_read_as_a_whole_one(tmp_path: Path) -> None:
    data = good_files()[REGISTER]
    start = data.index(b"\n1003")
    for size in range(start + 2, len(data) - 3):
        faults = faults_of({**with_register(), REGISTER: data[:size]}, tmp_path)
        assert faults[0].row == 4


def test_rows_with_too_few_and_too_many_cells(tmp_path: Path) -> None:
    data = table([row("1"), row("2"), row("3")]).replace(b"\n1,", b"\n1,Esq,")
    data = data.replace(b"\n2,Quillfeather,", b"\n2,")
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    assert spots(faults) == [
        (REGISTER, 2, None, Code.ROW_TOO_LONG),
        (REGISTER, 3, None, Code.ROW_TOO_SHORT),
    ]
    assert [(fault.found, fault.expected) for fault in faults] == [
        ("17 cells", "16 cells"),
        ("15 cells", "16 cells"),
    ]


def test_a_row_number_is_the_line_on_which_the_row_begins(tmp_path: Path) -> None:
    rows = [row("1", street_address="4 Ropewalk\nLane\nTernwick"), row("2", ballot_button="9")]
    fault = only_fault(with_register(*rows), tmp_path)
    assert (fault.row, fault.code) == (5, Code.UNKNOWN_BUTTON)


@pytest.mark.parametrize("column", ["voter_number", "birth_date", "ballot_button", "last_name"])
def test_a_missing_column_is_one_fault_and_not_one_a_row(column: str, tmp_path: Path) -> None:
    files = good_files()
    header = [name for name in HEADER if name != column]
    rows = [{name: row(number)[name] for name in header} for number in ("1001", "1002", "1003")]
    files[REGISTER] = table(rows, header)
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (REGISTER, 1, column, Code.MISSING_COLUMN)


def test_a_missing_column_is_named_as_election_toml_names_it(tmp_path: Path) -> None:
    files = with_register(row())
    files["election.toml"] += b'[columns]\nlast_name = "Surname"\n'
    files[REGISTER] = files[REGISTER].replace(b"last_name", b"Surnam")
    faults = faults_of(files, tmp_path)
    assert spots(faults) == [
        (REGISTER, 1, "Surnam", Code.UNKNOWN_COLUMN),
        (REGISTER, 1, "Surname", Code.MISSING_COLUMN),
    ]
    assert faults[0].expected == "perhaps Surname"
    assert faults[1].expected == "Surname (our last_name)"


def test_headings_that_are_unknown_doubled_or_blank(tmp_path: Path) -> None:
    header = [*HEADER, "Last Name", "ward"]
    data = table([row()], header).replace(b"mark_initials", b"")
    data = data.replace(b"suffix", b"party", 1)
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    assert spots(faults) == [
        (REGISTER, 1, "party", Code.DUPLICATE_COLUMN),
        (REGISTER, 1, "", Code.BLANK_HEADER),
        (REGISTER, 1, "Last Name", Code.UNKNOWN_COLUMN),
        (REGISTER, 1, "ward", Code.UNKNOWN_COLUMN),
    ]
    assert faults[2].expected == "perhaps last_name"


def test_a_column_under_its_own_name_and_under_its_mapped_one(tmp_path: Path) -> None:
    files = with_register(row())
    files["election.toml"] += b'[columns]\nparty = "suffix_or_party"\n'
    files[REGISTER] = files[REGISTER].replace(b"suffix", b"suffix_or_party")
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (REGISTER, 1, "party", Code.DUPLICATE_COLUMN)


def test_a_hundred_thousand_columns(tmp_path: Path) -> None:
    wide = b",".join(b"column%d" % number for number in range(100_000))
    data = wide + b"\n" + wide + b"\n" + table([row()]).split(b"\n", 1)[1]
    faults = faults_of({**with_register(), REGISTER: data}, tmp_path)
    # The row that comes first after them is not taken for the heading row.
    assert spots(faults) == [
        (REGISTER, 1, None, Code.TOO_MANY_COLUMNS),
        (REGISTER, 2, None, Code.TOO_MANY_COLUMNS),
    ]
    assert faults[0].found == "100,000 cells"


def test_more_columns_than_a_list_may_have(tmp_path: Path) -> None:
    header = [*HEADER, *(f"column{number}" for number in range(300))]
    faults = faults_of({**with_register(), REGISTER: table([row()], header)}, tmp_path)
    assert spot(faults[0]) == (REGISTER, 1, None, Code.TOO_MANY_COLUMNS)
    assert {fault.code for fault in faults[1:]} == {Code.UNKNOWN_COLUMN}


def test_a_hundred_thousand_cells_in_one_row(tmp_path: Path) -> None:
    data = table([row("1"), row("2")]).replace(b"\n1,", b"\n1" + b"," * 100_000)
    fault = only_fault({**with_register(), REGISTER: data}, tmp_path)
    assert spot(fault) == (REGISTER, 2, None, Code.TOO_MANY_COLUMNS)


@pytest.mark.parametrize("length", [2_001, 50_000, 1_048_576])
def test_a_cell_far_too_long_is_not_repeated_in_the_message(length: int, tmp_path: Path) -> None:
    rows = [row("1", party="x" * length), row("2", ballot_button="9")]
    faults = faults_of(with_register(*rows), tmp_path)
    assert [(fault.row, fault.code) for fault in faults] == [
        (2, Code.CELL_TOO_LONG),
        (3, Code.UNKNOWN_BUTTON),
    ]
    assert "xx" not in str(faults[0])
    assert len(str(faults[0])) < 300


def test_a_cell_of_the_longest_allowed_length(tmp_path: Path) -> None:
    fault = only_fault(with_register(row(party="x" * 2_000, ballot_button="9")), tmp_path)
    assert fault.code is Code.UNKNOWN_BUTTON


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("Smi\u202eth", Code.DIRECTION_CHARACTER),
        ("Smith\u2066", Code.DIRECTION_CHARACTER),
        ("Smi\0th", Code.CONTROL_CHARACTER),
        ("Smith\x1b[2J", Code.CONTROL_CHARACTER),
        ("Smi\x1fth", Code.CONTROL_CHARACTER),
        ("Smith\x85", Code.CONTROL_CHARACTER),
        ("Smi\u200bth", Code.INVISIBLE_CHARACTER),
        ("Smi\ufeffth", Code.INVISIBLE_CHARACTER),
        ("Smi\xadth", Code.INVISIBLE_CHARACTER),
        ("Smith\U000e0041", Code.INVISIBLE_CHARACTER),
        ("Mu\ufffdiz", Code.LOST_CHARACTER),
        ("MuÃ±iz", Code.GARBLED_TEXT),
        ("Smіth", Code.MIXED_ALPHABETS),  # the third letter is Cyrillic
    ],
)
@pytest.mark.parametrize("column", ["last_name", "party"])
def test_characters_that_no_clerk_can_see(
    column: str, cell: str, code: Code, tmp_path: Path
) -> None:
    fault = only_fault(with_register(row("1"), row("2", **{column: cell})), tmp_path)
    assert spot(fault) == (REGISTER, 3, column, code)
    assert fault.found.isprintable()


@pytest.mark.parametrize(
    "name",
    [
        "Ã",
        "Łukasik",
        "Nguyễn",
        "Иванов",
        "علی\u200cرضا",
        "Sørbø",
        "Ås-Иванов",
        "Heß’",
        "Voß’ Weg",
        "SÃO JOÃO",
        "JOSUÉ’S",
    ],
)
def test_letters_of_the_world_are_accepted(name: str, tmp_path: Path) -> None:
    # One fault of another kind shows that the row was checked, and for nothing else.
    fault = only_fault(with_register(row(last_name=name, ballot_button="9")), tmp_path)
    assert fault.code is Code.UNKNOWN_BUTTON


def test_more_rows_than_a_list_may_have(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.intake.table.MAX_ROWS", 3)
    fault = only_fault(with_register(*map(row, "123456")), tmp_path)
    assert spot(fault) == (REGISTER, 5, None, Code.TOO_MANY_ROWS)
