"""Entries of the opening and the close that could not follow are named by `verify`."""

from __future__ import annotations

import pytest

from app.records.bodies import DayClosed, DayOpened, LineCutOff
from app.records.bodies_day import BallotsCounted, ChecklistTicked, MachineCounted
from app.records.body import Body
from app.records.entry import Actor
from app.records.verify import verify
from app.rules.balance import terms_of
from app.rules.day_facts import DayFacts
from tests.records.conftest import Loaded

ACTOR = Actor("w-lead", "LO", "Lead's desk")


def reading(serial: str = "TM-1", replaces: int | None = None) -> MachineCounted:
    return MachineCounted(
        serial=serial,
        at_moment="close",
        public=3,
        protective=None,
        by_button=None,
        zero_report=None,
        replaces=replaces,
        reason="",
    )


def ballots(replaces: int | None) -> BallotsCounted:
    return BallotsCounted(what="unused", count=3, replaces=replaces, reason="x")


def closed(difference: int | None, reason: str = "") -> DayClosed:
    terms = terms_of(DayFacts(), "machines").as_body()
    return DayClosed(balance=terms, difference=difference, reason=reason)


def ticked(*, passed: bool, seq: int | None) -> ChecklistTicked:
    return ChecklistTicked(stage="opening", code="a", passed=passed, irregularity_seq=seq)


def write(loaded: Loaded, *bodies: Body) -> int:
    """The number of the first of them."""
    first: list[int] = []
    for number, body in enumerate(bodies):
        token = f"day-token-{number:08}"
        entry = loaded.store.writer.write(lambda unit, b=body, t=token: unit.append(ACTOR, t, b))
        first.append(entry.seq)
    return first[0]


def test_readings_and_closes_that_follow_are_in_order(loaded: Loaded) -> None:
    first = write(loaded, reading(), DayOpened(), LineCutOff())
    assert loaded.store.read(verify).holds
    loaded.store.writer.write(
        lambda unit: unit.append(ACTOR, "again-token", reading("TM-1", first))
    )
    assert loaded.store.read(verify).holds


@pytest.mark.parametrize(
    ("bodies", "words"),
    [
        ((reading(replaces=1),), "stands in for entry 1"),
        ((ballots(1),), "stands in for entry 1"),
        ((ticked(passed=False, seq=None),), "a failed check opens an irregularity"),
        ((ticked(passed=True, seq=1),), "a failed check opens an irregularity"),
        ((ticked(passed=False, seq=1),), "entry 1 is no irregularity"),
        ((DayOpened(), LineCutOff(), closed(2, "x")), "not the one of its own balance"),
        ((reading(), DayOpened(), LineCutOff(), closed(None)), "not what the entries before"),
    ],
)
def test_an_entry_that_could_not_follow_is_named(
    loaded: Loaded, bodies: tuple[Body, ...], words: str
) -> None:
    write(loaded, *bodies)
    found = loaded.store.read(verify)
    assert not found.holds
    assert words in str(found.fault)
