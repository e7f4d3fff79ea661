"""Lists of people who have voted by mail or early, against the register."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from tests.intake.packing import (
    ELECTION_ID,
    faults_of,
    good_files,
    only_fault,
    package_of,
    row,
    spot,
    spots,
    with_register,
)

MAIL = "mail-voted.csv"
HEADING = "voter_number,last_name,first_name,birth_date\n"


def listing(*rows: str, heading: str = HEADING) -> dict[str, bytes]:
    files = with_register(
        row("0001001", last_name="O’Malley", first_name="Inés", suffix="Jr"),
        row("0001002", last_name="Abbott", first_name="Silas"),
    )
    return files | {MAIL: (heading + "\n".join(rows)).encode()}


@pytest.mark.parametrize(
    "cells",
    [
        "0001001,,,",
        "0001001,O’Malley,Inés,1980-05-17",
        "0001001,O'MALLEY,INES,",
        "0001001,O Malley Jr,,1980-05-17",
    ],
)
def test_a_row_that_agrees_with_the_register_marks_the_line(cells: str, tmp_path: Path) -> None:
    first, second = package_of(listing(cells), tmp_path).lines
    assert [mark.source for mark in first.marks] == [MAIL]
    assert second.marks == ()


@pytest.mark.parametrize(
    ("cells", "column", "code"),
    [
        ("0001001,Abbott,Inés,", "last_name", Code.NAME_DIFFERS),
        ("0001001,O’Malley,Silas,", "first_name", Code.NAME_DIFFERS),
        ("0001001,,,1980-05-18", "birth_date", Code.BIRTH_DATE_DIFFERS),
        ("0001001,,,5/17/1980", "birth_date", Code.BIRTH_DATE_UNREADABLE),
        (",O’Malley,Inés,", "voter_number", Code.CELL_BLANK),
        ("1E+06,O’Malley,Inés,", "voter_number", Code.VOTER_NUMBER_SHAPE),
        ("0001009,,,", "voter_number", Code.NOT_IN_REGISTER),
    ],
)
def test_a_row_that_does_not_agree_is_one_fault(
    cells: str, column: str, code: Code, tmp_path: Path
) -> None:
    fault = only_fault(listing(cells), tmp_path)
    assert spot(fault) == (MAIL, 2, column, code)


def test_a_fault_points_to_the_row_of_the_register_and_does_not_repeat_it(tmp_path: Path) -> None:
    fault = only_fault(listing("0001002,,,1980-05-18"), tmp_path)
    assert "register.csv row 3" in fault.expected
    assert "1980-05-17" not in str(fault)


def test_leading_zeros_that_a_spreadsheet_dropped_are_suspected(tmp_path: Path) -> None:
    fault = only_fault(listing("1002,,,"), tmp_path)
    assert fault.code is Code.NOT_IN_REGISTER
    assert "register.csv row 3" in fault.expected


def test_the_same_number_twice_in_one_list(tmp_path: Path) -> None:
    fault = only_fault(listing("0001001,,,", "0001002,,,", "0001001,,,"), tmp_path)
    assert spot(fault) == (MAIL, 4, "voter_number", Code.LISTED_TWICE)
    assert "row 2" in fault.expected


def test_the_same_number_on_two_lists_is_for_the_table_to_settle(tmp_path: Path) -> None:
    files = listing("0001001,,,")
    files["early-voted.csv"] = b"voter_number\n0001001\n"
    line = package_of(files, tmp_path).lines[0]
    assert [mark.source for mark in line.marks] == [MAIL, "early-voted.csv"]


def test_a_list_of_another_election(tmp_path: Path) -> None:
    files = listing("0001001,tern-2026-11-03", heading="voter_number,election_id\n")
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (MAIL, 2, "election_id", Code.WRONG_ELECTION)
    files = listing(f"0001001,{ELECTION_ID}", heading="voter_number,election_id\n")
    assert package_of(files, tmp_path / "right").lines[0].marks


def test_a_list_without_voter_numbers(tmp_path: Path) -> None:
    files = listing("O’Malley,Inés", heading="last_name,first_name\n")
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (MAIL, 1, "voter_number", Code.MISSING_COLUMN)


def test_a_list_is_not_judged_by_a_register_that_could_not_be_read(tmp_path: Path) -> None:
    files = good_files() | {"register.csv": b"\xff\xfe"}
    faults = faults_of(files, tmp_path)
    assert [(fault.file, fault.code) for fault in faults] == [("register.csv", Code.NOT_UTF8)]
    del files["register.csv"]
    assert spots(faults_of(files, tmp_path / "missing")) == [
        ("register.csv", None, None, Code.MISSING_FILE)
    ]


def test_a_list_is_still_checked_in_itself_without_a_register(tmp_path: Path) -> None:
    files = good_files() | {"register.csv": b"", MAIL: b"voter_number\n1\n1\n?\n"}
    assert spots(faults_of(files, tmp_path)) == [
        ("register.csv", None, None, Code.FILE_EMPTY),
        (MAIL, 3, "voter_number", Code.LISTED_TWICE),
        (MAIL, 4, "voter_number", Code.VOTER_NUMBER_SHAPE),
    ]


def test_a_name_is_not_compared_with_one_that_has_a_fault_itself(tmp_path: Path) -> None:
    files = with_register(row("1", last_name="1980"))
    files[MAIL] = b"voter_number,last_name\n1,Quillfeather\n"
    fault = only_fault(files, tmp_path)
    assert spot(fault) == ("register.csv", 2, "last_name", Code.NAME_UNLIKELY)
