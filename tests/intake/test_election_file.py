"""election.toml: every fault by its dotted key, and no setting passed over in silence."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from tests.intake.packing import (
    ELECTION_TOML,
    faults_of,
    only_fault,
    package_of,
    row,
    spot,
    spots,
    with_register,
)

FILE = "election.toml"


def changed(old: str, new: str) -> dict[str, bytes]:
    assert old in ELECTION_TOML
    return {**with_register(row()), FILE: ELECTION_TOML.replace(old, new, 1).encode()}


@pytest.mark.parametrize(
    ("old", "new", "column", "code"),
    [
        ('id = "tern-2027-03-02"\n', "", "election.id", Code.MISSING_KEY),
        ('id = "tern-2027-03-02"', 'id = "../tern"', "election.id", Code.VALUE_NOT_ALLOWED),
        ('id = "tern-2027-03-02"', "id = 7", "election.id", Code.WRONG_KIND),
        ("date = 2027-03-02", 'date = "3/2/2027"', "election.date", Code.WRONG_KIND),
        ("date = 2027-03-02", "date = 2027-03-02T07:00:00", "election.date", Code.WRONG_KIND),
        ("date = 2027-03-02", "date = 0207-03-02", "election.date", Code.VALUE_NOT_ALLOWED),
        ("federal = true", 'federal = "yes"', "election.federal", Code.WRONG_KIND),
        ("federal = true\n", "", "election.federal", Code.MISSING_KEY),
        ('opens = "07:00"', 'opens = "7 am"', "election.opens", Code.WRONG_KIND),
        ('opens = "07:00"', 'opens = "25:00"', "election.opens", Code.WRONG_KIND),
        ('closes = "20:00"', 'closes = "06:00"', "election.closes", Code.VALUE_NOT_ALLOWED),
        ("America/New_York", "Tern/Ternwick", "election.time_zone", Code.VALUE_NOT_ALLOWED),
        ("America/New_York", "../../etc/passwd", "election.time_zone", Code.VALUE_NOT_ALLOWED),
        ("America/New_York", "America", "election.time_zone", Code.VALUE_NOT_ALLOWED),
        ('number = "4-07"', "number = 407", "precinct.number", Code.WRONG_KIND),
        ('county = "Tern County"', 'county = " "', "precinct.county", Code.VALUE_NOT_ALLOWED),
        (
            'county = "Tern County"',
            'county = "T\u202e"',
            "precinct.county",
            Code.DIRECTION_CHARACTER,
        ),
        ('phone = "555-0142"', 'fone = "x"\nphone = "5"', "registrar.fone", Code.UNKNOWN_KEY),
        ('"asked"', '"always"', "policy.identification", Code.VALUE_NOT_ALLOWED),
        ("identification", "identificaton", "policy.identificaton", Code.UNKNOWN_KEY),
        ('"asked"', '"asked"\nassistance_first = 1', "policy.assistance_first", Code.WRONG_KIND),
        ('"asked"', '"asked"\ncaution = ""', "policy.caution", Code.VALUE_NOT_ALLOWED),
        ("[policy]", "[polices]", "polices", Code.UNKNOWN_KEY),
        ("[policy]", "[[policy]]", "policy", Code.WRONG_KIND),
        ("button = 2\n", "\n", "ballot.2.button", Code.MISSING_KEY),
        ("button = 2", "button = 1", "ballot.2.button", Code.VALUE_TWICE),
        ("button = 1", "button = 0", "ballot.1.button", Code.VALUE_NOT_ALLOWED),
        ("button = 1", "button = true", "ballot.1.button", Code.WRONG_KIND),
        ("4-07 B", "4-07 A", "ballot.2.style", Code.VALUE_TWICE),
        ('"Town Clerk"]', "3]", "ballot.1.contests", Code.WRONG_KIND),
        ('"Town Clerk"]', '""]', "ballot.1.contests.2", Code.VALUE_NOT_ALLOWED),
        ("18233", "-1", "machine.1.protective_counter", Code.VALUE_NOT_ALLOWED),
        ('"opening"', '"midday"', "checklist.1.stage", Code.VALUE_NOT_ALLOWED),
        ('"seals-read"', '"Seals read"', "checklist.1.code", Code.VALUE_NOT_ALLOWED),
        ("[[machine]]", "[machine]", "machine", Code.WRONG_KIND),
    ],
)
def test_one_wrong_setting_is_one_fault_at_its_dotted_key(
    old: str, new: str, column: str, code: Code, tmp_path: Path
) -> None:
    fault = only_fault(changed(old, new), tmp_path)
    assert spot(fault) == (FILE, None, column, code)
    assert fault.expected


@pytest.mark.parametrize("section", ["election", "precinct", "polling_place", "registrar"])
def test_a_missing_section_is_one_fault_and_not_one_for_each_of_its_keys(
    section: str, tmp_path: Path
) -> None:
    start = ELECTION_TOML.index(f"[{section}]")
    end = ELECTION_TOML.index("\n[", start) + 1
    fault = only_fault(changed(ELECTION_TOML[start:end], ""), tmp_path)
    assert spot(fault) == (FILE, None, section, Code.MISSING_KEY)


def test_a_misspelled_setting_is_told_its_likely_name(tmp_path: Path) -> None:
    fault = only_fault(changed("identification", "identificaton"), tmp_path)
    assert fault.expected == "perhaps identification"


def test_all_wrong_settings_are_reported_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = ELECTION_TOML.replace("2027-03-02\n", "1\n").replace("4-07 B", "4-07 A")
    text = text.replace('"555-0142"', "5").replace('"asked"', "1")
    faults = faults_of({**with_register(row()), FILE: text.encode()}, tmp_path)
    assert [fault.column for fault in faults] == [
        "election.date",
        "registrar.phone",
        "policy.identification",
        "ballot.2.style",
    ]


def test_broken_toml_is_one_fault_with_its_row_and_the_rows_are_still_checked(
    tmp_path: Path,
) -> None:
    files = changed("federal = true", "federal = yes")
    files["register.csv"] = files["register.csv"].replace(b"1980-05-17", b"1980-02-30")
    assert spots(faults_of(files, tmp_path)) == [
        (FILE, 5, None, Code.TOML_UNREADABLE),
        ("register.csv", 2, "birth_date", Code.BIRTH_DATE_IMPOSSIBLE),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 1_900,
        "x = " + "[\n" * 30_000,
        "x = " + "{a=" * 600,
        "x = 1" + "0" * 1_900,
        "x = 0x" + "f" * 1_900,
        "a" + ".a" * 990 + " = 1",
        "date = 2027-02-30",
        "\0",
    ],
)
def test_toml_made_to_break_the_reader_is_refused(text: str, tmp_path: Path) -> None:
    codes = {
        fault.code for fault in faults_of({**with_register(row()), FILE: text.encode()}, tmp_path)
    }
    assert codes & {Code.TOML_UNREADABLE, Code.UNKNOWN_KEY, Code.NOT_UTF8}


def test_toml_made_to_be_slow_is_refused_in_seconds(tmp_path: Path) -> None:
    lines = [f"k{number}" + ".a" * 990 + " = 1" for number in range(63)]
    start = time.process_time()
    faults_of({**with_register(row()), FILE: "\n".join(lines).encode()}, tmp_path)
    assert time.process_time() - start < 10


def test_a_line_of_endless_length_is_refused_before_it_is_parsed(tmp_path: Path) -> None:
    text = ELECTION_TOML + "a" + ".a" * 50_000 + " = 1"
    fault = only_fault({**with_register(row()), FILE: text.encode()}, tmp_path)
    assert (fault.code, fault.row) == (Code.TOML_UNREADABLE, ELECTION_TOML.count("\n") + 1)


@pytest.mark.parametrize(
    ("mapping", "column", "code"),
    [
        ('surname = "Surname"', "columns.surname", Code.UNKNOWN_KEY),
        ("last_name = 3", "columns.last_name", Code.WRONG_KIND),
        ('last_name = ""', "columns.last_name", Code.VALUE_NOT_ALLOWED),
        ('city = "Town"\nparty = "Town"', "columns.party", Code.VALUE_TWICE),
    ],
)
def test_a_wrong_mapping_of_columns(mapping: str, column: str, code: Code, tmp_path: Path) -> None:
    files = changed("[policy]", f"[columns]\n{mapping}\n[policy]")
    files["register.csv"] = files["register.csv"].replace(b"city", b"Town")
    assert (FILE, None, column, code) in spots(faults_of(files, tmp_path))


def test_times_and_dates_may_be_written_the_way_of_toml_or_in_quotation_marks(
    tmp_path: Path,
) -> None:
    plain = package_of(with_register(row()), tmp_path / "plain").setting
    files = changed('opens = "07:00"', "opens = 07:00:00")
    files[FILE] = files[FILE].replace(b"date = 2027-03-02", b'date = "2027-03-02"')
    assert package_of(files, tmp_path / "other").setting == plain


def test_without_a_policy_every_setting_of_it_has_its_default(tmp_path: Path) -> None:
    files = changed('[policy]\nidentification = "asked"\n', "")
    assert package_of(files, tmp_path).setting.policy.identification == "none"


def test_accents_in_settings_are_read(tmp_path: Path) -> None:
    files = changed("Tern County", "Comté de la Sterne")
    assert package_of(files, tmp_path).setting.precinct.county == "Comté de la Sterne"
