"""The lines of the registers: numbers, order, ages, marks and lists that agree."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date
from itertools import pairwise

from samples.person import fold
from tests.samples.reading import Row, Sample

COLUMNS = (
    "voter_number,last_name,first_name,middle_name,suffix,birth_date,mothers_maiden_name,"
    "street_address,city,postal_code,party,ballot_button,assistance,address_confirmation,"
    "mark,mark_initials,inactive,first_time_by_mail,address_protected"
).split(",")


def _order(row: Row) -> tuple[str, str, str]:
    return (fold(row["last_name"]), fold(row["first_name"]), fold(row["middle_name"]))


def test_main_sample_has_about_eighteen_hundred_lines(main_sample: Sample) -> None:
    assert 1_790 <= len(main_sample.register) <= 1_810
    assert len(main_sample.supplemental) == 14


def test_header_and_columns_are_those_of_a_register(sample: Sample) -> None:
    assert list(sample.register[0]) == COLUMNS
    assert list(sample.supplemental[0]) == COLUMNS
    assert all(None not in row.values() and None not in row for row in sample.everybody)


def test_cells_a_line_cannot_do_without_are_filled(sample: Sample) -> None:
    for row in sample.everybody:
        assert row["last_name"], row
        assert row["street_address"], row
        assert all(cell == cell.strip() for cell in row.values()), row


def test_voter_numbers_are_nine_digits_and_unique(sample: Sample) -> None:
    numbers = [row["voter_number"] for row in sample.everybody]

    assert all(re.fullmatch(r"[0-9]{9}", number) for number in numbers)
    assert len(set(numbers)) == len(numbers)
    assert any(number.startswith("0") for number in numbers)


def test_voter_numbers_follow_no_order_of_names(main_sample: Sample) -> None:
    numbers = [row["voter_number"] for row in main_sample.register]
    rises = sum(one < other for one, other in pairwise(numbers))

    assert 0.45 < rises / len(numbers) < 0.55


def test_pages_are_in_print_order_last_name_first(sample: Sample) -> None:
    for part in (sample.register, sample.supplemental):
        assert [_order(row) for row in part] == sorted(_order(row) for row in part)


def test_everybody_is_eighteen_on_election_day_and_nobody_past_110(sample: Sample) -> None:
    day = sample.setting["election"]["date"]
    for row in sample.everybody:
        born = date.fromisoformat(row["birth_date"])
        age = day.year - born.year - ((day.month, day.day) < (born.month, born.day))
        assert 18 <= age <= 110, row


def test_no_two_lines_share_names_suffix_and_birth_date(sample: Sample) -> None:
    people = Counter(
        (*_order(row)[:2], row["suffix"], row["birth_date"]) for row in sample.everybody
    )

    assert people.most_common(1)[0][1] == 1


def test_list_rows_agree_with_the_register(sample: Sample) -> None:
    assert sample.mailed
    assert sample.early
    for listed in sample.mailed + sample.early:
        row = sample.by_number[listed["voter_number"]]
        for column in ("last_name", "first_name", "birth_date"):
            assert listed[column] == row[column]
        assert listed["election_id"] == sample.setting["election"]["id"]
        assert listed["initials"]


def test_printed_marks_have_initials_and_other_lines_have_none(sample: Sample) -> None:
    for row in sample.everybody:
        assert row["mark"] in ("", "voted by mail", "voted early")
        assert bool(row["mark"]) == bool(row["mark_initials"]), row


def test_only_one_person_stands_on_two_lists(main_sample: Sample) -> None:
    twice = {number: says for number, says in main_sample.voted().items() if len(says) > 1}

    assert list(twice.values()) == [["voted early", "mail-voted"]]
    assert main_sample.by_number[next(iter(twice))]["last_name"] == "Bothwell"


def test_nobody_stands_on_two_lists_of_the_one_ballot_sample(one_ballot_sample: Sample) -> None:
    assert all(len(says) == 1 for says in one_ballot_sample.voted().values())


def test_shares_of_marks_and_notices_are_those_of_an_ordinary_precinct(main_sample: Sample) -> None:
    lines = len(main_sample.register)
    marks = Counter(row["mark"] for row in main_sample.register)
    by_mail = marks["voted by mail"] + len(main_sample.mailed)
    early = marks["voted early"] + len(main_sample.early)

    assert 0.05 < by_mail / lines < 0.07
    assert 0.03 < early / lines < 0.05
    assert min(marks["voted by mail"], marks["voted early"]) > 0
    for notice in ("assistance", "address_confirmation"):
        printed = Counter(row[notice] for row in main_sample.register)
        assert set(printed) == {"", "Y"}
        assert 0.007 < printed["Y"] / lines < 0.013


def test_notes_are_y_or_blank_and_on_few_lines(sample: Sample) -> None:
    lines = len(sample.register)
    for note, least, most in (
        ("inactive", 0.01, 0.02),
        ("first_time_by_mail", 0.002, 0.01),
        ("address_protected", 0.0005, 0.002),
    ):
        printed = Counter(row[note] for row in sample.register)
        assert set(printed) == {"", "Y"}
        assert least < printed["Y"] / lines < most, note


def test_whoever_is_protected_in_march_is_so_in_may(
    main_sample: Sample, one_ballot_sample: Sample
) -> None:
    protected = [
        {row["voter_number"] for row in sample.everybody if row["address_protected"]}
        for sample in (main_sample, one_ballot_sample)
    ]
    assert protected[0] == protected[1]


def test_parties_are_mixed_and_often_blank(main_sample: Sample) -> None:
    parties = Counter(row["party"] for row in main_sample.register)

    assert len(parties) >= 4
    assert 0.25 < parties[""] / len(main_sample.register) < 0.4


def test_middle_names_are_full_an_initial_or_missing(main_sample: Sample) -> None:
    middles = [row["middle_name"] for row in main_sample.register]

    assert 0.15 < middles.count("") / len(middles) < 0.3
    assert 0.1 < sum(len(middle) == 1 for middle in middles) / len(middles) < 0.2


def test_a_few_last_names_are_common_and_many_are_seldom(main_sample: Sample) -> None:
    lines = len(main_sample.register)
    names = Counter(row["last_name"] for row in main_sample.register)
    common = names.most_common()

    assert "Smith" in [name for name, _ in common[:3]]
    assert 0.01 < common[0][1] / lines < 0.03
    assert 0.1 < sum(count for _, count in common[:10]) / lines < 0.25
    seldom = [name for name, count in common if count <= 2]
    assert len(seldom) > len(names) / 2


def test_several_names_belong_to_more_than_one_person(main_sample: Sample) -> None:
    names = Counter(_order(row)[:2] for row in main_sample.register)
    shared = {name for name, count in names.items() if count > 1}

    assert len(shared) >= 10
    assert len({last for last, _ in shared}) >= 6


def test_most_people_share_an_address_with_somebody(main_sample: Sample) -> None:
    homes = Counter(row["street_address"] for row in main_sample.register)
    together = sum(count for count in homes.values() if count > 1)

    assert 0.7 < together / len(main_sample.register) < 0.95


def test_who_was_added_in_march_is_in_the_register_by_may(
    main_sample: Sample, one_ballot_sample: Sample
) -> None:
    in_may = {row["voter_number"] for row in one_ballot_sample.register}

    assert {row["voter_number"] for row in main_sample.everybody} == in_may
