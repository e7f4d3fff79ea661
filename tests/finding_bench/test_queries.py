from __future__ import annotations

import random
from datetime import date

import numpy as np
import pytest

from finding_bench.drafts import Person
from finding_bench.engines.anchor import Anchor
from finding_bench.folding import glued
from finding_bench.oracle import Facts, Oracle
from finding_bench.people import People, make_people
from finding_bench.queries import KINDS, Query, make_queries, spelt_date
from finding_bench.slips import mistyped, wrong_digit, year_off_by_one
from finding_bench.typed import Typed, read_typed


@pytest.fixture(scope="module")
def people() -> People:
    return make_people(2000, "a test")


@pytest.fixture(scope="module")
def queries(people: People) -> list[Query]:
    return make_queries(people, 8, "a test")


def test_every_kind_is_asked(queries: list[Query]) -> None:
    assert {query.kind for query in queries} == set(KINDS)


def test_the_same_seed_asks_the_same(people: People, queries: list[Query]) -> None:
    assert make_queries(people, 8, "a test") == queries
    assert make_queries(people, 8, "another") != queries


def test_the_person_is_always_acceptable(queries: list[Query]) -> None:
    assert all(query.person in query.acceptable for query in queries)


def test_a_query_with_one_answer_accepts_one_line(queries: list[Query]) -> None:
    assert all(len(query.acceptable) == 1 for query in queries if query.is_single)


def test_nobody_is_asked_for_twice_in_one_kind(queries: list[Query]) -> None:
    asked = [(query.kind, query.person) for query in queries]
    assert len(asked) == len(set(asked))


def test_acceptable_lines_of_an_exact_name_are_those_with_that_name(people: People) -> None:
    for query in make_queries(people, 30, "exact"):
        if query.kind == "first last" and not any(letter.isdigit() for letter in query.text):
            names = Person.of(people, query.person).names
            same = {at for at in range(len(people)) if Person.of(people, at).names == names}
            assert query.acceptable == same


def test_oracle_agrees_with_reading_every_line(people: People) -> None:
    oracle = Oracle(people)
    for start, first in (("s", "j"), ("mar", "m"), ("ga", "jo")):
        facts = Facts(last_start=start, first_start=first)
        slow = [
            at
            for at in range(len(people))
            if glued(people.printed(at).last_name).startswith(start)
            and glued(people.printed(at).first_name).startswith(first)
        ]
        assert oracle.lines_with(facts).tolist() == slow
    born = people.birth_date(11)
    slow = [at for at in range(len(people)) if people.birth_date(at).year == born.year]
    assert oracle.lines_with(Facts(birth_year=born.year)).tolist() == slow
    assert 11 in oracle.lines_with(Facts(birth=born.toordinal()))


def test_the_half_of_a_double_name_may_mean_everybody_with_that_half(people: People) -> None:
    found = Oracle(people).lines_with(Facts(last_part="garcia"))
    names = {people.printed(int(at)).last_name for at in found}
    assert "Garcia" in names
    assert any(" " in name or "-" in name for name in names)


def test_slips_change_the_text_and_little_of_it() -> None:
    chance = random.Random(5)
    for word in ("smith", "johnson", "ann", "lee"):
        for _ in range(50):
            slipped = mistyped(word, chance)
            assert slipped is not None
            assert slipped != word
            assert abs(len(slipped) - len(word)) <= 1
    day = date(1987, 3, 14)
    for _ in range(50):
        digits = zip(f"{day:%Y%m%d}", f"{wrong_digit(day, chance):%Y%m%d}", strict=True)
        assert sum(one != other for one, other in digits) == 1
        assert abs(year_off_by_one(day, chance).year - 1987) == 1


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Smith, John", Typed(("smith", "john"), comma_at=1)),
        ("john smith jr.", Typed(("john", "smith"), suffix="Jr")),
        ("smith iii john 1987", Typed(("smith", "john"), suffix="III", year=1987)),
        ("o'neil 3/4/87", Typed(("oneil",), births=(date(1987, 3, 4), date(1987, 4, 3)))),
        ("garcía-lópez 1987-03-14", Typed(("garcia", "lopez"), births=(date(1987, 3, 14),))),
        ("Mar 14, 1987 smith", Typed(("smith",), births=(date(1987, 3, 14),))),
        ("smith, john 14 march 1987", Typed(("smith", "john"), 1, births=(date(1987, 3, 14),))),
        ("smi 3/14", Typed(("smi",), month_day=(3, 14))),
        ("smi 3/14/19", Typed(("smi",), births=(date(1919, 3, 14),))),
        ("may april", Typed(("may", "april"))),
        ("", Typed(())),
    ],
)
def test_what_was_typed_is_read(text: str, expected: Typed) -> None:
    assert read_typed(text) == expected


def test_all_six_spellings_of_a_date_are_read_as_that_day() -> None:
    chance = random.Random(3)
    for ordinal in np.linspace(date(1925, 1, 1).toordinal(), date(2008, 12, 31).toordinal(), 400):
        day = date.fromordinal(int(ordinal))
        assert read_typed(f"smith {spelt_date(day, chance)} john").births[0] == day


def test_anchors_try_both_orders_of_the_names() -> None:
    assert Anchor.starts(read_typed("smi jo")) == [("smi", "jo"), ("jo", "smi")]
