"""What a row of the register may and may not say."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from tests.intake.packing import (
    ELECTION_ID,
    ELECTION_TOML,
    HEADER,
    NOTES,
    faults_of,
    good_files,
    only_fault,
    row,
    spot,
    spots,
    table,
    with_register,
)


@pytest.mark.parametrize(
    ("column", "cell", "code"),
    [
        ("voter_number", "", Code.CELL_BLANK),
        ("voter_number", "1.23E+12", Code.VOTER_NUMBER_SHAPE),
        ("voter_number", "10 01", Code.VOTER_NUMBER_SHAPE),
        ("voter_number", "-1001", Code.VOTER_NUMBER_SHAPE),
        ("voter_number", "1" * 33, Code.VOTER_NUMBER_SHAPE),
        ("voter_number", "١٢٣", Code.VOTER_NUMBER_SHAPE),
        ("last_name", "", Code.CELL_BLANK),
        ("last_name", "1980-05-17", Code.NAME_UNLIKELY),
        ("last_name", "?", Code.NAME_UNLIKELY),
        ("first_name", "x" * 151, Code.NAME_UNLIKELY),
        ("birth_date", "", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "3/4/1987", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "19870304", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "1987-W10-3", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "1987-3-4", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "1987-03-04T00:00", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "１９８７-03-04", Code.BIRTH_DATE_UNREADABLE),
        ("birth_date", "1987-02-30", Code.BIRTH_DATE_IMPOSSIBLE),
        ("birth_date", "1987-13-01", Code.BIRTH_DATE_IMPOSSIBLE),
        ("birth_date", "1900-02-29", Code.BIRTH_DATE_IMPOSSIBLE),
        ("birth_date", "0000-00-00", Code.BIRTH_DATE_IMPOSSIBLE),
        ("birth_date", "2027-03-03", Code.BIRTH_DATE_IN_FUTURE),
        ("birth_date", "2087-03-04", Code.BIRTH_DATE_IN_FUTURE),
        ("birth_date", "1899-12-31", Code.BIRTH_DATE_TOO_EARLY),
        ("ballot_button", "3", Code.UNKNOWN_BUTTON),
        ("ballot_button", "1.0", Code.UNKNOWN_BUTTON),
        ("ballot_button", "4-07 A", Code.UNKNOWN_BUTTON),
        ("ballot_button", "²", Code.UNKNOWN_BUTTON),
        ("ballot_button", "9" * 1_900, Code.UNKNOWN_BUTTON),
        ("ballot_button", "", Code.BUTTON_MISSING),
        ("assistance", "N", Code.YES_OR_BLANK),
        ("address_confirmation", "yes", Code.YES_OR_BLANK),
        ("mark", "voted", Code.UNKNOWN_MARK),
        ("mark_initials", "RM", Code.INITIALS_WITHOUT_MARK),
    ],
)
def test_one_wrong_cell_is_one_fault_at_its_place(
    column: str, cell: str, code: Code, tmp_path: Path
) -> None:
    wrong = row("1002") | {column: cell}
    fault = only_fault(with_register(row("1001"), wrong), tmp_path)
    assert spot(fault) == ("register.csv", 3, column, code)
    assert fault.found.rstrip("…") in cell
    assert fault.expected


def test_initials_that_are_too_long(tmp_path: Path) -> None:
    fault = only_fault(
        with_register(row(mark="voted early", mark_initials="R. Merriweather")), tmp_path
    )
    assert (fault.column, fault.code) == ("mark_initials", Code.INITIALS_TOO_LONG)


def test_several_wrong_cells_of_one_row_are_all_reported(tmp_path: Path) -> None:
    wrong = row(last_name="", birth_date="x", ballot_button="7", mark="?")
    assert [fault.column for fault in faults_of(with_register(wrong), tmp_path)] == [
        "last_name",
        "birth_date",
        "ballot_button",
        "mark",
    ]


def test_a_fault_names_the_heading_that_the_file_has(tmp_path: Path) -> None:
    files = with_register(row(birth_date="3/4/1987"))
    files["election.toml"] += b'[columns]\nbirth_date = "Date of birth"\n'
    files["register.csv"] = files["register.csv"].replace(b"birth_date", b"Date of birth")
    assert only_fault(files, tmp_path).column == "Date of birth"


def test_a_voter_number_on_two_lines(tmp_path: Path) -> None:
    fault = only_fault(with_register(row("ab-7"), row("8"), row("AB-7")), tmp_path)
    assert spot(fault) == ("register.csv", 4, "voter_number", Code.DUPLICATE_VOTER_NUMBER)
    assert "register.csv row 2" in fault.expected


def test_a_voter_number_in_the_register_and_on_the_supplemental_list(tmp_path: Path) -> None:
    files = good_files()
    files["supplemental.csv"] = table([row("1004", last_name="Newhouse"), row("1002")])
    fault = only_fault(files, tmp_path)
    assert spot(fault) == ("supplemental.csv", 3, "voter_number", Code.DUPLICATE_VOTER_NUMBER)
    assert "register.csv row 3" in fault.expected


def test_a_number_is_taken_even_by_a_row_that_has_another_fault(tmp_path: Path) -> None:
    files = with_register(row("1", birth_date="x"), row("1"))
    files["mail-voted.csv"] = b"voter_number\n1\n"
    assert [fault.code for fault in faults_of(files, tmp_path)] == [
        Code.BIRTH_DATE_UNREADABLE,
        Code.DUPLICATE_VOTER_NUMBER,
    ]


def test_a_register_of_another_election_is_one_fault_that_counts_its_rows(tmp_path: Path) -> None:
    rows = [row(str(number), election_id="tern-2026-11-03") for number in range(1, 8)]
    rows.append(row("8", election_id=ELECTION_ID))
    rows.append(row("9", election_id=""))
    files = {**with_register(), "register.csv": table(rows, [*HEADER, "election_id"])}
    faults = faults_of(files, tmp_path)
    assert spots(faults) == [
        ("register.csv", 2, "election_id", Code.WRONG_ELECTION),
        ("register.csv", 10, "election_id", Code.WRONG_ELECTION),
    ]
    assert faults[0].found == "tern-2026-11-03 in 7 rows"
    assert faults[0].expected == ELECTION_ID


def test_a_row_with_slipped_cells_is_not_said_to_be_of_another_election(tmp_path: Path) -> None:
    rows = [row("1", election_id=ELECTION_ID), row("2", election_id=ELECTION_ID)]
    data = table(rows, [*HEADER, "election_id"]).replace(b"\n1,", b"\n1,Esq,")
    fault = only_fault({**with_register(), "register.csv": data}, tmp_path)
    assert spot(fault) == ("register.csv", 2, None, Code.ROW_TOO_LONG)


def test_a_button_where_no_ballot_has_one(tmp_path: Path) -> None:
    files = with_register(row("1", ballot_button=""), row("2", ballot_button="1"))
    files["election.toml"] = ELECTION_TOML.split("[[ballot]]")[0].encode()
    fault = only_fault(files, tmp_path)
    assert (fault.row, fault.code, fault.expected) == (3, Code.UNKNOWN_BUTTON, "blank")


def test_buttons_are_not_judged_by_ballots_that_have_a_fault(tmp_path: Path) -> None:
    files = with_register(row("1", ballot_button="2"))
    files["election.toml"] = files["election.toml"].replace(b"button = 2", b"button = '2'")
    fault = only_fault(files, tmp_path)
    assert spot(fault) == ("election.toml", None, "ballot.2.button", Code.WRONG_KIND)


def test_birth_dates_and_maiden_names_of_a_row_stay_out_of_its_other_faults(tmp_path: Path) -> None:
    rows = [row("1", mothers_maiden_name="Pellwether"), row("1", mothers_maiden_name="Pellwether")]
    rows.append(row("2", ballot_button="9", mothers_maiden_name="Pellwether"))
    said = "\n".join(map(str, faults_of(with_register(*rows), tmp_path)))
    assert "Pellwether" not in said
    assert "1980-05-17" not in said


@pytest.mark.parametrize("note", NOTES)
@pytest.mark.parametrize("cell", ["N", "yes", "0", "X"])
def test_a_note_is_y_or_blank(note: str, cell: str, tmp_path: Path) -> None:
    files = with_register(row("1"))
    files["register.csv"] = table([row("1"), row("2", **{note: cell})], [*HEADER, *NOTES])
    fault = only_fault(files, tmp_path)
    assert spot(fault) == ("register.csv", 3, note, Code.YES_OR_BLANK)
