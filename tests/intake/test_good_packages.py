"""Packages without a fault: what comes out of them, from folders and from zips."""

from __future__ import annotations

import hashlib
from datetime import date, time
from pathlib import Path

import pytest

from app.intake.package import read_package
from app.rules.line import MarkKind, Part, PrintedMark
from app.rules.policy import Policy
from tests.intake.packing import (
    ELECTION_TOML,
    HEADER,
    NOTES,
    expect_package,
    good_files,
    manifest_of,
    package_of,
    row,
    table,
    with_register,
    write_folder,
    write_zip,
)

PROJECT = Path(__file__).resolve().parents[2]
SAMPLES = ("tern-4-07", "tern-4-07-one-ballot")


def test_lines_come_in_file_order_the_register_before_the_supplemental_list(tmp_path: Path) -> None:
    lines = package_of(good_files(), tmp_path).lines
    assert [line.voter_number for line in lines] == ["1001", "1002", "1003", "1004"]
    assert [line.part for line in lines] == [Part.REGISTER] * 3 + [Part.SUPPLEMENTAL]


def test_every_column_reaches_its_line(tmp_path: Path) -> None:
    cells = {name: f"{name} here" for name in HEADER if name.endswith(("name", "address", "city"))}
    odd = row("A-17", **cells, suffix="Jr", assistance="Y", address_confirmation="Y", party="Gull")
    line = package_of(with_register(odd), tmp_path).lines[0]
    for name, cell in cells.items():
        assert getattr(line, name) == cell
    assert (line.voter_number, line.suffix, line.party) == ("A-17", "Jr", "Gull")
    assert (line.birth_date, line.postal_code) == (date(1980, 5, 17), "00417")
    assert (line.ballot_button, line.assistance, line.address_confirmation) == (1, True, True)


@pytest.mark.parametrize("note", NOTES)
@pytest.mark.parametrize("cell", ["Y", "y", ""])
@pytest.mark.parametrize("file", ["register.csv", "supplemental.csv"])
def test_a_note_reaches_its_line_in_either_part(
    note: str, cell: str, file: str, tmp_path: Path
) -> None:
    files = with_register(row("1")) | {file: table([row("2", **{note: cell})], [*HEADER, note])}
    line = package_of(files, tmp_path).lines[-1]
    assert {name: getattr(line, name) for name in NOTES if getattr(line, name)} == (
        {note: True} if cell else {}
    )


def test_notes_are_read_under_the_headings_that_election_toml_names(tmp_path: Path) -> None:
    files = with_register(row()) | {
        "register.csv": table([row(Secret="Y")], [*HEADER, "Secret"]),
    }
    files["election.toml"] += b'[columns]\naddress_protected = "Secret"\n'
    assert package_of(files, tmp_path).lines[0].address_protected


def test_marks_of_the_register_and_of_the_lists_stand_on_the_same_line(tmp_path: Path) -> None:
    marks = {line.voter_number: line.marks for line in package_of(good_files(), tmp_path).lines}
    assert marks == {
        "1001": (),
        "1002": (PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", "PO"),),
        "1003": (
            PrintedMark(MarkKind.VOTED_EARLY, "register.csv", "RM"),
            PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", "PO"),
        ),
        "1004": (PrintedMark(MarkKind.VOTED_EARLY, "early-voted.csv"),),
    }


def test_the_setting_holds_what_election_toml_says(tmp_path: Path) -> None:
    setting = package_of(good_files(), tmp_path).setting
    assert setting.election.id == "tern-2027-03-02"
    assert (setting.election.date, setting.election.opens) == (date(2027, 3, 2), time(7))
    assert (setting.precinct.number, setting.registrar.phone) == ("4-07", "555-0142")
    assert setting.policy == Policy(identification="asked")
    assert setting.ballot_buttons == (1, 2)
    assert setting.ballots[0].contests == ("Town Moderator", "Town Clerk")
    assert (setting.machines[0].serial, setting.checklist[0].required) == ("TM-0417", True)


def test_every_file_has_its_digest(tmp_path: Path) -> None:
    files = good_files()
    files["MANIFEST.json"] = manifest_of(files)
    digests = package_of(files, tmp_path).file_digests
    assert digests == {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


@pytest.mark.parametrize("inside", ["", "tern-4-07/"])
def test_a_zip_reads_like_the_folder_it_was_made_from(tmp_path: Path, inside: str) -> None:
    from_folder = read_package(write_folder(good_files(), tmp_path / "tern-4-07"))
    from_zip = read_package(write_zip(good_files(), tmp_path / "tern.zip", inside))
    assert expect_package(from_zip) == expect_package(from_folder)


def test_what_desktop_systems_leave_behind_is_passed_over(tmp_path: Path) -> None:
    files = good_files()
    litter = {".DS_Store": b"x", "Thumbs.db": b"x", "._register.csv": b"x", "desktop.ini": b"x"}
    plain = package_of(files, tmp_path / "plain")
    assert package_of(files | litter, tmp_path / "folder") == plain
    zipped = {**files, **litter, "__MACOSX/._register.csv": b"x"}
    assert expect_package(read_package(write_zip(zipped, tmp_path / "t.zip"))) == plain


def test_a_byte_order_mark_is_accepted_in_every_file(tmp_path: Path) -> None:
    files = good_files()
    files["MANIFEST.json"] = manifest_of(
        marked := {name: b"\xef\xbb\xbf" + data for name, data in files.items()}
    )
    marked["MANIFEST.json"] = b"\xef\xbb\xbf" + files["MANIFEST.json"]
    assert (
        package_of(marked, tmp_path / "a").lines == package_of(good_files(), tmp_path / "b").lines
    )


def test_spaces_around_cells_and_headings_are_trimmed(tmp_path: Path) -> None:
    files = good_files()
    register = files["register.csv"].replace(b"Quillfeather", b"  Quillfeather \xc2\xa0 ")
    files["register.csv"] = register.replace(b"last_name", b" last_name ")
    assert package_of(files, tmp_path).lines[0].last_name == "Quillfeather"


def test_commas_quotes_and_line_ends_inside_quotation_marks_belong_to_the_cell(
    tmp_path: Path,
) -> None:
    odd = row(street_address='4 "The Lofts",\r\n  Ropewalk\nLane', last_name="Quill, feather")
    line = package_of(with_register(odd), tmp_path).lines[0]
    assert line.street_address == '4 "The Lofts", Ropewalk Lane'
    assert line.last_name == "Quill, feather"


@pytest.mark.parametrize("line_end", [b"\r\n", b"\r"])
def test_line_ends_of_other_systems_are_read(tmp_path: Path, line_end: bytes) -> None:
    files = good_files()
    plain = package_of(files, tmp_path / "plain").lines
    files["register.csv"] = files["register.csv"].replace(b"\n", line_end)
    assert package_of(files, tmp_path / "other").lines == plain


def test_blank_rows_are_passed_over(tmp_path: Path) -> None:
    files = good_files()
    files["register.csv"] = files["register.csv"].replace(b"\n1002", b"\n\n,,,,,,,,,,,,,,,\n1002")
    files["register.csv"] += b"\n  \n"
    assert package_of(files, tmp_path).lines[1].voter_number == "1002"


def test_an_accent_taken_apart_is_put_together(tmp_path: Path) -> None:
    line = package_of(with_register(row(last_name="Castan\u0303eda")), tmp_path).lines[0]
    assert line.last_name == "Casta\u00f1eda"


def test_columns_are_read_under_the_headings_that_election_toml_names(tmp_path: Path) -> None:
    files = good_files()
    plain = package_of(files, tmp_path / "plain").lines
    mapping = '[columns]\nlast_name = "Surname, of voter"\nvoter_number = "No."\n'
    files["election.toml"] += mapping.encode()
    header = b'No.,"Surname, of voter"'
    files["register.csv"] = files["register.csv"].replace(b"voter_number,last_name", header)
    # The supplemental list keeps our own headings: a mapping adds a name, it takes none away.
    files["mail-voted.csv"] = files["mail-voted.csv"].replace(b"voter_number,last_name", header)
    assert package_of(files, tmp_path / "mapped").lines == plain


def test_a_mapping_may_give_one_column_the_name_of_another(tmp_path: Path) -> None:
    files = with_register(row(last_name="Odette", first_name="Quillfeather"))
    files["election.toml"] += b'[columns]\nlast_name="first_name"\nfirst_name="last_name"\n'
    line = package_of(files, tmp_path).lines[0]
    assert (line.last_name, line.first_name) == ("Quillfeather", "Odette")


def test_columns_may_stand_in_any_order_and_optional_ones_may_be_missing(tmp_path: Path) -> None:
    header = "ballot_button birth_date street_address first_name last_name voter_number".split()
    shuffled = {name: row()[name] for name in header}
    files = {**with_register(), "register.csv": table([shuffled], header)}
    line = package_of(files, tmp_path).lines[0]
    assert (line.last_name, line.ballot_button, line.city) == ("Quillfeather", 1, "")


def test_where_one_ballot_serves_all_the_button_may_be_blank(tmp_path: Path) -> None:
    files = with_register(row(ballot_button=""))
    with_two = ELECTION_TOML.split("[[ballot]]")
    files["election.toml"] = (with_two[0] + "[[ballot]]\nstyle = 'all'\n").encode()
    assert package_of(files, tmp_path).lines[0].ballot_button is None


def test_people_that_law_and_life_allow_are_no_faults(tmp_path: Path) -> None:
    package = package_of(
        with_register(
            row("1", first_name=""),
            row("2", street_address=""),
            row("3", birth_date="2027-03-02"),
            row("4", birth_date="1904-02-29"),
            row("5", last_name="O"),
            row("6", last_name="欧阳", first_name="Ольга"),
            row("7", last_name="Smith", mark="Voted By Mail"),
        ),
        tmp_path,
    )
    assert len(package.lines) == 7


def test_lists_of_nobody_are_accepted(tmp_path: Path) -> None:
    files = good_files()
    files["supplemental.csv"] = files["supplemental.csv"].split(b"\n")[0]
    files["early-voted.csv"] = b"voter_number\n"
    assert len(package_of(files, tmp_path).lines) == 3


@pytest.mark.parametrize("name", SAMPLES)
def test_the_sample_packages_have_no_fault(name: str, tmp_path: Path) -> None:
    folder = PROJECT / "sample_rosters" / name
    package = expect_package(read_package(folder))
    files = {file.name: file.read_bytes() for file in folder.iterdir()}
    rows = [files[list_name].count(b"\n") - 1 for list_name in ("register.csv", "supplemental.csv")]
    assert len(package.lines) == sum(rows) > 1_000
    assert expect_package(read_package(write_zip(files, tmp_path / "s.zip", f"{name}/"))) == package
