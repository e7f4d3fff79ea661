"""Queries as a clerk types them into the one box, each with the lines it may mean."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

import numpy as np

from finding_bench import drafts, slips
from finding_bench.drafts import WHOLE, Draft, Maker, Person
from finding_bench.oracle import Facts, Oracle
from finding_bench.parted_names import glued_or_dropped, half_or_added, several
from finding_bench.people import ELECTION_YEAR, People

# Where a kind leaves it open: a whole birth date, the year alone, or nothing.
WHOLE_DATE, YEAR_ALONE = 0.55, 0.10
# Two digits of a year mean nobody younger than this.
YOUNGEST_YEARS = 16

KINDS: dict[str, Maker] = {
    "last first": drafts.exact_last_first,
    "first last": drafts.exact_first_last,
    "one typing error": drafts.one_slip,
    "two typing errors": drafts.two_slips,
    "last by sound": drafts.sound_last,
    "first by sound": drafts.sound_first,
    "misheard": drafts.misheard,
    "nickname": drafts.nickname,
    "first, last": drafts.swapped,
    "half or added surname": half_or_added,
    "joints and accents": glued_or_dropped,
    "maiden name and date": drafts.maiden_with_birth,
    "wrong digit in date": drafts.wrong_date(slips.wrong_digit),
    "day and month swapped": drafts.wrong_date(lambda day, _: slips.day_month_swapped(day)),
    "year off by one": drafts.wrong_date(slips.year_off_by_one),
    "short prefixes": drafts.prefixes((3, 3), (1, 1)),
    "long prefixes": drafts.prefixes((4, 6), (2, 3)),
    "suffix said": drafts.suffix_said,
    "suffix not said": drafts.suffix_not_said,
    "initials": drafts.initials,
    "middle name as first": drafts.middle_as_first,
    "twins": drafts.twins,
    "first name and date": drafts.first_and_birth,
    "two slips at once": several(2),
    "three slips at once": several(3),
}
SEVERAL_AT_ONCE = ("two slips at once", "three slips at once")


class Query(NamedTuple):
    """A typed text and what it may mean.

    acceptable: the person and whoever the query cannot tell from them. is_single: whether
    one answer is possible: nobody else is acceptable, and nobody else is spelt by the
    letters as they stand there.
    """

    kind: str
    text: str
    person: int
    acceptable: frozenset[int]
    is_single: bool


def make_queries(people: People, per_kind: int, seed: str) -> list[Query]:
    """`per_kind` queries of every kind, fewer where the register has too few such people."""
    oracle = Oracle(people)
    return [
        query
        for kind in KINDS
        for query in _queries_of(kind, people, oracle, per_kind, f"{seed} {len(people)} {kind}")
    ]


def _queries_of(
    kind: str, people: People, oracle: Oracle, count: int, seed: str
) -> Iterator[Query]:
    chance = random.Random(f"queries {seed}")
    made = 0
    for at in _candidates(kind, people, seed):
        if made == count:
            return
        person = Person.of(people, at)
        draft = KINDS[kind](person, chance)
        if draft:
            yield _finished(kind, draft, at, person, oracle, chance)
            made += 1


def _candidates(kind: str, people: People, seed: str) -> Iterator[int]:
    """Positions in a random order, each once: nobody is asked for twice in one kind."""
    match kind:
        case "twins":
            pool = people.twins
        case "suffix not said":
            pool = people.namesakes
        case "suffix said":
            pool = np.flatnonzero(people.suffix).astype(np.int32)
        case _:
            pool = np.arange(len(people), dtype=np.int32)
    rng = np.random.default_rng(list(f"candidates {seed}".encode()))
    return iter(rng.permutation(pool).tolist())


def _finished(
    kind: str, draft: Draft, at: int, person: Person, oracle: Oracle, chance: random.Random
) -> Query:
    means, says, said = draft.means, draft.says, ""
    typed = draft.typed_birth or person.birth
    drawn = 0.0 if draft.birth == WHOLE else chance.random()
    if drawn < WHOLE_DATE:
        said = spelt_date(typed, chance)
        means = means._replace(birth=person.birth.toordinal())
        says = says._replace(birth=typed.toordinal())
    elif drawn < WHOLE_DATE + YEAR_ALONE:
        said = str(person.birth.year)
        means = means._replace(birth_year=person.birth.year)
        says = says._replace(birth_year=person.birth.year)
    parts = [draft.text, said] if chance.random() < 0.85 else [said, draft.text]
    text = _in_case(" ".join(part for part in parts if part), chance)
    acceptable = frozenset(oracle.lines_with(means).tolist())
    is_single = len(acceptable) == 1 and all(
        acceptable.issuperset(oracle.lines_with(facts).tolist())
        for facts in _as_it_stands(says, draft.text)
    )
    return Query(kind, text, at, acceptable, is_single)


def _as_it_stands(says: Facts, text: str) -> list[Facts]:
    """What the letters say; without a comma either name may be the last one."""
    if "," in text or says.last_part:
        return [says]
    swapped = says._replace(
        last=says.first, first=says.last, last_start=says.first_start, first_start=says.last_start
    )
    return [says, swapped]


def spelt_date(day: date, chance: random.Random) -> str:
    """`day` in one of six spellings, month before day."""
    short_year = f"{day:%y}" if day.year > ELECTION_YEAR - YOUNGEST_YEARS - 100 else f"{day:%Y}"
    return chance.choice(
        (
            f"{day.month}/{day.day}/{day.year}",
            f"{day:%m/%d}/{short_year}",
            f"{day:%Y-%m-%d}",
            f"{day:%b} {day.day}, {day.year}",
            f"{day.day} {day:%B} {day.year}",
            f"{day:%m%d%Y}",
        )
    )


def _in_case(text: str, chance: random.Random) -> str:
    drawn = chance.random()
    return text.lower() if drawn < 0.6 else text.upper() if drawn < 0.75 else text
