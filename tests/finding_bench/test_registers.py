from __future__ import annotations

import numpy as np
import pytest

from finding_bench.people import People, make_people


@pytest.fixture(scope="module")
def people() -> People:
    return make_people(3000, "a test")


def _columns(people: People) -> list[object]:
    return [getattr(people, name) for name in People.__slots__]


def test_the_same_seed_makes_the_same_people(people: People) -> None:
    again = make_people(3000, "a test")
    for one, other in zip(_columns(people), _columns(again), strict=True):
        assert np.array_equal(one, other)


def test_another_seed_makes_other_people(people: People) -> None:
    other = make_people(3000, "another test")
    assert not np.array_equal(people.birth, other.birth)
    assert people.printed(7) != other.printed(7)


def test_voter_numbers_have_nine_digits_and_are_nobody_elses(people: People) -> None:
    numbers = {line.printed.voter_number for line in people.lines()}
    assert len(numbers) == 3000
    assert {len(number) for number in numbers} == {9}


def test_twins_share_all_but_the_first_name(people: People) -> None:
    half = len(people.twins) // 2
    assert half
    for one, other in zip(people.twins[:half], people.twins[half:], strict=True):
        a, b = people.printed(int(one)), people.printed(int(other))
        assert (a.last_name, a.birth_date, a.street_address) == (
            b.last_name,
            b.birth_date,
            b.street_address,
        )
        assert a.mothers_maiden_name == b.mothers_maiden_name


def test_father_and_son_share_name_and_roof_and_differ_in_suffix_and_age(people: People) -> None:
    half = len(people.namesakes) // 2
    assert half
    for son, father in zip(people.namesakes[:half], people.namesakes[half:], strict=True):
        a, b = people.printed(int(son)), people.printed(int(father))
        assert (a.last_name, a.first_name, a.street_address) == (
            b.last_name,
            b.first_name,
            b.street_address,
        )
        assert a.suffix in ("Jr", "III")
        assert a.suffix != b.suffix
        assert 18 <= a.birth_date.year - b.birth_date.year <= 23


def test_about_three_in_four_have_a_middle_name_or_initial(people: People) -> None:
    assert 0.7 < float((people.middle > 0).mean()) < 0.8


def test_frequent_names_are_frequent_and_every_awkward_kind_occurs(people: People) -> None:
    last = [people.last_names[at] for at in people.last]
    assert last.count("Smith") > last.count("Larson")
    for mark in ("-", " ", "'", "ñ", "é"):
        assert any(mark in name for name in last)
    assert "Nguyen" in last
