"""How many keys a clerk presses until a person's line is there.

A clerk has a habit: so many letters of the last name, a space, the first name letter by
letter (or the birth date), and at last the birth date, until the line is seen. Every key
is a query, and every query is timed.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

from finding_bench.drafts import Person
from finding_bench.engines.engine import Engine
from finding_bench.folding import glued
from finding_bench.oracle import Oracle
from finding_bench.people import People

PLACES = 5


def three_letters_then_first(person: Person) -> str:
    return f"{glued(person.last)[:3]} {glued(person.first)} {_typed_date(person)}"


def whole_last_then_first(person: Person) -> str:
    return f"{glued(person.last)} {glued(person.first)} {_typed_date(person)}"


def three_letters_then_birth(person: Person) -> str:
    return f"{glued(person.last)[:3]} {_typed_date(person)}"


HABITS: dict[str, Callable[[Person], str]] = {
    "3 letters, first name": three_letters_then_first,
    "last name, first name": whole_last_then_first,
    "3 letters, birth date": three_letters_then_birth,
}


class Typing(NamedTuple):
    """One person typed in one habit.

    until_first, until_five: keys until the line, or one that name and date do not tell from
    it, is the first, or among five; None where it never was. seconds: one a key.
    """

    habit: str
    until_first: int | None
    until_five: int | None
    seconds: tuple[float, ...]


def type_all(engine: Engine, people: People, count: int) -> list[Typing]:
    """`count` random people, the same for every engine, in each habit."""
    oracle = Oracle(people)
    chosen = random.Random(f"typists {len(people)}").sample(range(len(people)), count)
    return [
        _type_one(engine, habit, whole(Person.of(people, at)), acceptable)
        for at in chosen
        for acceptable in [_not_told_apart(people, oracle, at)]
        for habit, whole in HABITS.items()
    ]


def _type_one(engine: Engine, habit: str, whole: str, acceptable: frozenset[int]) -> Typing:
    until_first = until_five = None
    seconds = []
    for keys, text in enumerate(_keystrokes(whole), start=1):
        started = time.perf_counter()
        hits = engine.search(text, PLACES)
        seconds.append(time.perf_counter() - started)
        if until_five is None and any(hit.position in acceptable for hit in hits):
            until_five = keys
        if hits and hits[0].position in acceptable:
            until_first = keys
            break
    return Typing(habit, until_first, until_five, tuple(seconds))


def _keystrokes(whole: str) -> Iterator[str]:
    return (whole[:keys] for keys in range(1, len(whole) + 1))


def _not_told_apart(people: People, oracle: Oracle, at: int) -> frozenset[int]:
    names = Person.of(people, at).names
    return frozenset(oracle.lines_with(names._replace(birth=int(people.birth[at]))).tolist())


def _typed_date(person: Person) -> str:
    return f"{person.birth.month}/{person.birth.day}/{person.birth.year}"
