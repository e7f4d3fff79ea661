"""How near two entries lie to each other, in time, in place and on paper.

Pure; what is read from it is evidence, see `app.rules.cause_weights`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from app.rules.cause_scene import Scene, Span, minutes_between
from app.rules.day_facts import Point, Signed

AT_ONCE_MINUTES = 5
QUARTER_HOUR = 15
HALF_HOUR = 30

# More lines than these nobody can look through at the close; then only times are told.
MOST_LINES = 24

# No signature at any table for as long, at a place that is otherwise busy.
_LONG_GAP_MINUTES = 15


def of_one_order(caught_up: Iterable[Signed]) -> Iterator[tuple[Signed, Signed]]:
    """Lines that were caught up from one place of the paper register."""
    first: dict[tuple[int, int, int], Signed] = {}
    for one in caught_up:
        if one.caught_up:
            before = first.setdefault(one.caught_up.place, one)
            if before is not one:
                yield before, one


def is_first(one: Signed, other: Signed) -> bool:
    """So that two of paper are one pair; one that signed at the table is no pair by itself."""
    return other.caught_up is None or one.seq < other.seq


def on_paper(one: Signed, other: Signed) -> tuple[str, ...]:
    """What makes two look-alikes, one at least of paper, look like one voter."""
    if one.caught_up is None or other.caught_up is None:
        return ("alike-not-on-paper",)
    is_same_time = one.caught_up.at != "" and one.caught_up.at == other.caught_up.at
    return ("same-paper-time",) if is_same_time else ("alike-on-paper",)


def nearness(one: Point, other: Point) -> tuple[str, ...]:
    apart = minutes_between(one, other)
    if apart <= AT_ONCE_MINUTES and one.station == other.station:
        return ("same-table-at-once",)
    return ("within-quarter-hour",) if apart <= QUARTER_HOUR else ("same-day",)


def before_long_gap(scene: Scene) -> list[Signed]:
    """Who signed in the minutes before the tables stood still: they may have given up waiting."""
    live = [one for one in scene.voting if one.caught_up is None]
    found: dict[int, Signed] = {}
    for one, after in pairwise(live):
        if minutes_between(one, after) >= _LONG_GAP_MINUTES and len(live) > MOST_LINES:
            near = [each for each in live if 0 <= _minutes(each, one) <= AT_ONCE_MINUTES]
            found.update({each.seq: each for each in near})
    return list(found.values()) if len(found) <= MOST_LINES else []


def _minutes(earlier: Point, later: Point) -> float:
    return (later.at - earlier.at).total_seconds() / 60


def span_of(before: list[Signed]) -> tuple[Span, ...]:
    return (Span(before[0].at, before[-1].at),) if before else ()
