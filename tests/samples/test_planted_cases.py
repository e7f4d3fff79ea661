"""Every awkward case of the table is in the main sample, and is what it says it is."""

from __future__ import annotations

import unicodedata
from collections import Counter
from datetime import date

import pytest

from samples.case import Case
from samples.closeness import sound_of
from samples.person import age_on, fold
from samples.planted import CASES, everybody_planted
from samples.streets import GROUP_RESIDENCE, GROUP_RESIDENCE_SIZE
from tests.samples.reading import PROJECT, Row, Sample


def rows_of(sample: Sample, code: str) -> list[Row]:
    """The rows of the people of a case, each found by exactly what is printed."""
    case = next(case for case in CASES if case.code == code)
    return [_only_row(sample, person.who) for person in case.people]


def _only_row(sample: Sample, who: tuple[str, str, str, date]) -> Row:
    found = [
        row
        for row in sample.everybody
        if (row["last_name"], row["first_name"], row["suffix"]) == who[:3]
        and row["birth_date"] == who[3].isoformat()
    ]
    assert len(found) == 1, who
    return found[0]


def _values(rows: list[Row], column: str) -> set[str]:
    return {row[column] for row in rows}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_people_of_the_case_are_printed_as_the_table_has_them(
    case: Case, main_sample: Sample
) -> None:
    for person in case.people:
        row = _only_row(main_sample, person.who)
        assert row["street_address"] == person.street_address
        assert row["middle_name"] == person.middle_name


def test_readme_names_every_case_and_everybody_planted() -> None:
    text = (PROJECT / "sample_rosters" / "README.md").read_text(encoding="utf-8")

    assert [case.code for case in CASES if f"| {case.code} | {case.sentence} |" not in text] == []
    assert [who for who in everybody_planted() if who.last_name not in text] == []


@pytest.mark.parametrize("code", ["father-and-son", "three-generations", "father-without-suffix"])
def test_fathers_and_sons_differ_by_suffix_alone_at_one_address(
    code: str, main_sample: Sample
) -> None:
    rows = rows_of(main_sample, code)
    for last in _values(rows, "last_name"):
        family = [row for row in rows if row["last_name"] == last]
        assert len(family) >= 2
        for column in ("first_name", "middle_name", "street_address"):
            assert len(_values(family, column)) == 1
        assert len(_values(family, "suffix")) == len(family)
        oldest_first = sorted(family, key=lambda row: row["birth_date"])
        order = ["", "Sr", "Jr", "III"]
        assert [order.index(row["suffix"]) for row in oldest_first] == sorted(
            order.index(row["suffix"]) for row in family
        )


@pytest.mark.parametrize("code", ["twins-alike", "twins-unlike"])
def test_twins_share_last_name_birth_date_address_and_mother(
    code: str, main_sample: Sample
) -> None:
    rows = rows_of(main_sample, code)
    assert len(rows) == 4
    for pair in (rows[:2], rows[2:]):
        for column in ("last_name", "birth_date", "street_address", "mothers_maiden_name"):
            assert len(_values(pair, column)) == 1
        assert len(_values(pair, "first_name")) == 2


def test_apostrophes_are_straight_and_curled(main_sample: Sample) -> None:
    lasts = _values(rows_of(main_sample, "apostrophe"), "last_name")

    assert {last[1] for last in lasts} == {"'", "\u2019"}
    assert {last[0] for last in lasts} == {"O", "D"}


def test_hyphens_stand_in_last_and_first_names(main_sample: Sample) -> None:
    rows = rows_of(main_sample, "hyphen")

    assert any("-" in row["last_name"] for row in rows)
    assert any("-" in row["first_name"] for row in rows)
    assert all("-" in row["last_name"] + row["first_name"] for row in rows)


def test_particles_are_of_many_kinds(main_sample: Sample) -> None:
    lasts = " | ".join(sorted(_values(rows_of(main_sample, "particle"), "last_name")))

    for particle in ("de la ", "van der ", "von ", "al-", "Mc", "Mac", "Di "):
        assert particle in lasts


def test_two_last_names_are_two_words_without_hyphen(main_sample: Sample) -> None:
    for row in rows_of(main_sample, "two-last-names"):
        assert " " in row["last_name"]
        assert "-" not in row["last_name"]


def test_accents_are_many_and_composed_but_for_the_one_taken_apart(main_sample: Sample) -> None:
    names = "".join(row["last_name"] + row["first_name"] for row in rows_of(main_sample, "accent"))

    assert set("éñøüł") <= set(names.lower())
    assert unicodedata.is_normalized("NFC", names)
    (apart,) = rows_of(main_sample, "accent-taken-apart")
    assert not unicodedata.is_normalized("NFC", apart["first_name"])


def test_short_long_and_single_names_are_there(main_sample: Sample) -> None:
    for row in rows_of(main_sample, "one-letter-name"):
        assert 1 in (len(row["last_name"]), len(row["first_name"]))
    for row in rows_of(main_sample, "very-long-name"):
        assert sum(letter.isalpha() for letter in row["last_name"]) > 40
    for row in rows_of(main_sample, "single-name"):
        assert row["first_name"] == row["middle_name"] == ""


def test_leap_day_and_great_ages_are_there(main_sample: Sample) -> None:
    for row in rows_of(main_sample, "leap-day"):
        assert row["birth_date"].endswith("-02-29")
    for row in rows_of(main_sample, "over-105"):
        assert age_on(date.fromisoformat(row["birth_date"])) > 105


def test_somebody_turns_eighteen_on_election_day(main_sample: Sample) -> None:
    (row,) = rows_of(main_sample, "turning-eighteen")

    assert row["birth_date"] == "2009-03-02"


@pytest.mark.parametrize("code", ["namesake", "namesake-across-parts", "day-and-month-swapped"])
def test_namesakes_differ_in_birth_date(code: str, main_sample: Sample) -> None:
    rows = rows_of(main_sample, code)
    names = Counter((row["last_name"], row["first_name"]) for row in rows)

    assert min(names.values()) >= 2
    assert len(_values(rows, "birth_date")) == len(rows)


def test_a_namesake_stands_on_each_part(main_sample: Sample) -> None:
    in_register, added = rows_of(main_sample, "namesake-across-parts")

    assert in_register in main_sample.register
    assert added in main_sample.supplemental


def test_swapped_birth_dates_are_one_anothers_day_for_month(main_sample: Sample) -> None:
    one, other = rows_of(main_sample, "day-and-month-swapped")
    year, month, day = one["birth_date"].split("-")

    assert other["birth_date"] == f"{year}-{day}-{month}"


def test_ambiguous_birth_dates_read_two_ways(main_sample: Sample) -> None:
    for row in rows_of(main_sample, "day-or-month"):
        born = date.fromisoformat(row["birth_date"])
        assert born.day <= 12
        assert born.day != born.month


def test_names_one_letter_apart_are_not_the_same(main_sample: Sample) -> None:
    one, other, third, fourth = rows_of(main_sample, "one-letter-apart")
    for here, there in ((one, other), (third, fourth)):
        letters = zip(here["last_name"], there["last_name"], strict=True)
        assert sum(left != right for left, right in letters) == 1
        assert here["first_name"] != there["first_name"]


def test_first_and_last_name_are_exchanged_between_two(main_sample: Sample) -> None:
    one, other = rows_of(main_sample, "first-or-last")

    assert (one["last_name"], one["first_name"]) == (other["first_name"], other["last_name"])


def test_addresses_with_comma_half_number_and_ordinal_street(main_sample: Sample) -> None:
    addresses = " ".join(_values(rows_of(main_sample, "awkward-address"), "street_address"))

    assert "," in addresses
    assert "1/2" in addresses
    assert "4th" in addresses


def test_last_names_that_are_streets(main_sample: Sample) -> None:
    streets = " ".join(_values(main_sample.register, "street_address"))
    for row in rows_of(main_sample, "street-for-a-name"):
        assert f" {row['last_name']} " in streets


def test_one_of_each_marked_pair_has_voted_and_the_other_has_not(main_sample: Sample) -> None:
    voted = main_sample.voted()
    marked = [row["voter_number"] in voted for row in rows_of(main_sample, "marked-look-alike")]

    assert marked == [True, False, True, False]


def test_marks_are_printed_for_one_and_listed_for_the_other(main_sample: Sample) -> None:
    voted = main_sample.voted()
    says = {
        code: [voted[row["voter_number"]] for row in rows_of(main_sample, code)]
        for code in ("voted-by-mail", "voted-early", "lists-contradict")
    }

    assert says["voted-by-mail"] == [["voted by mail"], ["mail-voted"]]
    assert says["voted-early"] == [["voted early"], ["early-voted"]]
    assert says["lists-contradict"] == [["voted early", "mail-voted"]]


@pytest.mark.parametrize(
    ("code", "note"),
    [
        ("inactive", "inactive"),
        ("first-time-by-mail", "first_time_by_mail"),
        ("address-protected", "address_protected"),
    ],
)
def test_people_of_a_note_have_that_note_alone(code: str, note: str, main_sample: Sample) -> None:
    notes = ("inactive", "first_time_by_mail", "address_protected", "address_confirmation")
    for row in rows_of(main_sample, code):
        assert [name for name in notes if row[name]] == [note]
        assert row["voter_number"] not in main_sample.voted()


def test_one_of_two_namesakes_is_protected(main_sample: Sample) -> None:
    rows = rows_of(main_sample, "protected-namesake")
    assert [row["address_protected"] for row in rows] == ["Y", ""]


def test_same_name_at_one_address_without_a_suffix(main_sample: Sample) -> None:
    rows = rows_of(main_sample, "same-name-same-address")
    for one, other in (rows[:2], rows[2:]):
        for column in ("last_name", "first_name", "street_address"):
            assert one[column] == other[column]
        assert one["suffix"] == other["suffix"] == ""
        assert one["birth_date"] != other["birth_date"]


def test_names_said_alike_have_one_sound_and_two_spellings(main_sample: Sample) -> None:
    one, other, third, fourth = rows_of(main_sample, "same-by-sound")
    assert sound_of(fold(one["last_name"])) == sound_of(fold(other["last_name"]))
    assert sound_of(fold(one["first_name"])) == sound_of(fold(other["first_name"]))
    assert one["first_name"] != other["first_name"]
    # Their first letters differ, and so do their Soundex codes: said alike all the same.
    assert (third["first_name"], fourth["first_name"]) == ("Catherine", "Katharine")


def test_twenty_unrelated_people_share_the_group_residence(main_sample: Sample) -> None:
    residents = [row for row in main_sample.register if row["street_address"] == GROUP_RESIDENCE]

    assert len(residents) == GROUP_RESIDENCE_SIZE == 20
    assert len(_values(residents, "last_name")) >= 15
