"""Lines that a worker must tell apart."""

from __future__ import annotations

from datetime import date
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.matching.look_alikes import find_look_alikes
from app.rules.line import PrintedLine
from tests.making import printed


def person(last: str, first: str, born: str = "1980-05-17", **columns: str) -> PrintedLine:
    facts = {"street_address": f"{len(last) + len(first)} {last} Lane {born}", **columns}
    return printed(last_name=last, first_name=first, birth_date=date.fromisoformat(born), **facts)


def are_look_alikes(one: PrintedLine, other: PrintedLine) -> bool:
    found = find_look_alikes([one, other])
    assert found in ({}, {0: (1,), 1: (0,)})
    return bool(found)


def test_the_same_name_is_flagged_whatever_the_birth_date() -> None:
    assert are_look_alikes(person("Baker", "Peter"), person("BAKER", "Péter", "1931-01-02"))


def test_a_father_and_a_son_are_flagged_whether_the_suffix_is_printed_or_not() -> None:
    son = person("Baker", "Peter", "1990-03-09", suffix="Jr")
    for suffix in ("Sr", "", "III"):
        assert are_look_alikes(son, person("Baker", "Peter", "1961-07-21", suffix=suffix))


def test_twins_are_flagged() -> None:
    assert are_look_alikes(person("Brockway", "Daniel"), person("Brockway", "Ursula"))


def test_a_near_first_name_is_flagged_only_at_the_same_address_or_age() -> None:
    jon = person("Baker", "Joan", "1980-05-17")
    assert are_look_alikes(jon, person("Baker", "Joana", "1982-01-01"))
    assert not are_look_alikes(jon, person("Baker", "Joana", "1983-01-01"))
    here = {"street_address": "4 Ropewalk Lane"}
    assert are_look_alikes(
        person("Baker", "Joan", "1980-05-17", **here),
        person("Baker", "Joana", "1940-01-01", **here),
    )


def test_a_nickname_is_a_near_name() -> None:
    assert are_look_alikes(person("Baker", "William"), person("Baker", "Bill", "1981-01-01"))


def test_a_near_last_name_is_flagged_with_the_same_first_name() -> None:
    one = person("Brockway", "Daniel")
    assert are_look_alikes(one, person("Brokway", "Daniel", "1981-01-01"))
    assert are_look_alikes(one, person("Brcokway", "Daniel", "1981-01-01"))
    assert not are_look_alikes(one, person("Brokway", "Ursula", "1981-01-01"))
    assert not are_look_alikes(one, person("Brockwood", "Daniel", "1981-01-01"))


def test_an_address_left_blank_is_nobodys_shared_address() -> None:
    one = person("Baker", "Joan", "1980-05-17", street_address="")
    assert not are_look_alikes(one, person("Baker", "Joana", "1940-01-01", street_address=""))


def test_single_names_are_flagged_only_among_each_other() -> None:
    assert are_look_alikes(person("Suharsono", ""), person("Suharsono", "", "1950-01-01"))
    assert not are_look_alikes(person("Suharsono", ""), person("Suharsona", "", "1981-01-01"))


PEOPLE = st.builds(
    person,
    st.sampled_from(["Baker", "Bakker", "Barker", "Baxter", "Li", "Le"]),
    st.sampled_from(["William", "Bill", "Joan", "Jaon", "Joann", "Ann", "Anne", ""]),
    st.sampled_from(["1980-05-17", "1980-05-18", "1982-01-01", "1990-01-01"]),
    street_address=st.sampled_from(["", "4 Ropewalk Lane", "9 Mill Street"]),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(PEOPLE, max_size=9))
def test_a_whole_register_gives_what_comparing_every_pair_gives(lines: list[PrintedLine]) -> None:
    pairs = [
        (one, other)
        for one, other in combinations(range(len(lines)), 2)
        if are_look_alikes(lines[one], lines[other])
    ]
    expected: dict[int, tuple[int, ...]] = {}
    for one, other in pairs:
        expected[one] = (*expected.get(one, ()), other)
        expected[other] = (*expected.get(other, ()), one)
    expected = {at: tuple(sorted(others)) for at, others in expected.items()}
    assert find_look_alikes(lines) == expected
