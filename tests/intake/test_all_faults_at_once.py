"""Faults of several files together: their order, their number, their words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from app.intake.faults import FAULTS_LISTED, Fault, FaultList, shown
from app.intake.package import read_package
from tests.intake.packing import (
    ELECTION_TOML,
    expect_faults,
    faults_of,
    good_files,
    manifest_of,
    row,
    spots,
    table,
    with_register,
    write_zip,
)


def test_faults_of_all_files_are_reported_together_in_the_order_of_files_and_rows(
    tmp_path: Path,
) -> None:
    files = good_files()
    files["MANIFEST.json"] = manifest_of(files, precinct="4-08")
    files["early-voted.csv"] = b"voter_number\n1004\n1009\n"
    files["mail-voted.csv"] = b"voter_number;initials\n1002;PO\n"
    files["supplemental.csv"] = table([row("1001"), row("1004", last_name="")])
    files["register.csv"] = table(
        [
            row("1001", ballot_button="9"),
            row("1002", mark="moved", birth_date="2030-01-01"),
            row("1003"),
        ]
    ).replace(b"\n1003,", b"\n1003,,")
    files["election.toml"] = ELECTION_TOML.replace('"4-07"', "407").encode()
    files["notes.txt"] = b"x"
    assert spots(faults_of(files, tmp_path)) == [
        ("election.toml", None, "precinct.number", Code.WRONG_KIND),
        ("election.toml", None, None, Code.DIGEST_DIFFERS),
        ("register.csv", None, None, Code.DIGEST_DIFFERS),
        ("register.csv", 2, "ballot_button", Code.UNKNOWN_BUTTON),
        ("register.csv", 3, "birth_date", Code.BIRTH_DATE_IN_FUTURE),
        ("register.csv", 3, "mark", Code.UNKNOWN_MARK),
        ("register.csv", 4, None, Code.ROW_TOO_LONG),
        ("supplemental.csv", None, None, Code.DIGEST_DIFFERS),
        ("supplemental.csv", 2, "voter_number", Code.DUPLICATE_VOTER_NUMBER),
        ("supplemental.csv", 3, "last_name", Code.CELL_BLANK),
        ("mail-voted.csv", None, None, Code.DIGEST_DIFFERS),
        ("mail-voted.csv", 1, None, Code.WRONG_DELIMITER),
        ("early-voted.csv", None, None, Code.DIGEST_DIFFERS),
        ("early-voted.csv", 3, "voter_number", Code.NOT_IN_REGISTER),
        ("notes.txt", None, None, Code.UNKNOWN_FILE),
    ]


def test_a_zip_has_the_same_faults_as_its_folder(tmp_path: Path) -> None:
    files = good_files() | {"register.csv": table([row("1"), row("1", last_name="")])}
    path = write_zip(files, tmp_path / "tern.zip")
    assert expect_faults(read_package(path)) == faults_of(files, tmp_path)


def test_of_very_many_faults_the_first_are_listed_and_the_rest_counted(tmp_path: Path) -> None:
    rows = [row(str(number), ballot_button="9", mark="?") for number in range(9_000)]
    faults = faults_of(with_register(*rows), tmp_path)
    assert len(faults) == FAULTS_LISTED + 1
    listed, last = faults[:-1], faults[-1]
    assert [fault.row for fault in listed] == sorted([*range(2, 502), *range(2, 502)])
    assert (last.code, last.found) == (Code.MORE_FAULTS, "17,000 more")


def test_the_first_faults_are_kept_in_whatever_order_they_come() -> None:
    collected = FaultList("tern.zip", {"register.csv": 0})
    for number in range(10_000, 0, -1):
        collected.add(Code.CELL_BLANK, "register.csv", row=number)
    faults = collected.as_faults().faults
    assert [fault.row for fault in faults[:-1]] == list(range(1, FAULTS_LISTED + 1))


@pytest.mark.parametrize("code", list(Code), ids=str)
def test_every_code_has_a_sentence_and_says_what_to_do(code: Code) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code)
    for words in (code.sentence, code.what_to_do):
        assert words[0].isupper()
        assert words.endswith(".")
    assert Code(str(code)) is code


def test_a_fault_reads_as_one_sentence_after_another() -> None:
    fault = Fault("register.csv", 1_412, "ballot_button", "9", "one of 1, 2", Code.UNKNOWN_BUTTON)
    assert str(fault) == (
        "register.csv, row 1,412, ballot_button: No ballot in election.toml has this button. "
        "Found: 9. Expected: one of 1, 2. Correct the button, or add the ballot to election.toml."
    )


def test_what_is_shown_is_short_and_hides_nothing() -> None:
    assert shown("Smi\u202eth\n") == "Smi<U+202E>th<U+000A>"
    assert shown("x" * 60) == "x" * 60
    assert shown("x" * 61) == "x" * 60 + "…"
    assert len(shown("\0" * 1_000)) == 61
    assert shown("\ud800").encode() == b"<U+D800>"
