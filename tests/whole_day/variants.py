"""The twelve errors that a day is planted with, one each, and the cause that must be found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.whole_day.tables import Day
from tests.whole_day.truth import SERIALS, Truth, Vote, local

# What the cause must point at: line_ids or serials; nothing where nobody wrote anything down.
PointsAt = tuple[str, ...]
Plant = Callable[[Day], PointsAt]


@dataclass(frozen=True)
class Variant:
    """`before_anybody` happens before the first voter, the rest after five in the afternoon.

    `doubted`: what the program doubts of the readings at once.
    """

    name: str
    cause: str
    plant: Plant
    doubted: tuple[str, ...] = ()
    before_anybody: Callable[[Truth], None] | None = None


def _left_test_votes(truth: Truth) -> None:
    """Seven test votes on the first machine, and nobody set it back."""
    truth.votes += [Vote(local("05:30"), SERIALS[0], 1)] * 7


def _row_missed(day: Day) -> PointsAt:
    day.slips.row_missed = True
    return ()


def _keyed_twice(day: Day) -> PointsAt:
    day.slips.keyed_twice = True
    return tuple(line.line_id for line in day.cast.paper_pair)


def _digits_swapped(day: Day) -> PointsAt:
    def written(count: int) -> int:
        first, second, third = list(str(count))
        assert second != third, "choose another seed: nothing would be misread"
        return int(first + third + second)

    day.slips.misread[SERIALS[0]] = written
    return (SERIALS[0],)


def _digit_misread(day: Day) -> PointsAt:
    """An 8 for a 3 and so on in the middle; the protective counter is not looked at."""

    def written(count: int) -> int:
        first, second, third = list(str(count))
        return int(first + str((int(second) + 5) % 10) + third)

    day.slips.misread[SERIALS[1]] = written
    day.slips.has_protective = False
    return (SERIALS[1],)


def _left(day: Day) -> PointsAt:
    day.slips.more.append((local("18:33"), lambda: day.sign(day.cast.spare)))
    return ()


def _unsigned(day: Day) -> PointsAt:
    day.slips.more.append((local("18:33"), lambda: day.truth.vote(local("18:33"), 1)))
    return ()


def _not_read(day: Day) -> PointsAt:
    day.slips.unread.add(SERIALS[1])
    return (SERIALS[1],)


def _opened_above_0(_: Day) -> PointsAt:
    return (SERIALS[0],)


def _withdrawn(day: Day) -> PointsAt:
    """Voted at once; the worker thought that the voter had gone, and the lead took it back."""
    spare, words = day.cast.spare, {"reason": "was said to have gone home"}
    day.slips.more += [
        (local("18:33"), lambda: day.sign_and_vote(spare)),
        (local("18:47"), lambda: day.on(spare, "signature/withdraw", words)),
    ]
    return (spare.line_id,)


def _in_the_machine(day: Day) -> PointsAt:
    day.slips.envelope_in_machine = True
    return ()


def _two_lines(day: Day) -> PointsAt:
    day.slips.namesake_first = True
    return tuple(line.line_id for line in day.cast.twins)


def _wrong_button(day: Day) -> PointsAt:
    day.slips.wrong_button = True
    return ()


AT_OPENING = ("public-not-zero", "protective-not-as-packaged", "zero-report-wrong")
AT_CLOSE = ("protective-moved-otherwise", "buttons-do-not-add-up")

VARIANTS = (
    Variant("a row of the paper list missed", "list-row-missed", _row_missed),
    Variant("a row of the paper register keyed twice", "keyed-twice", _keyed_twice),
    Variant("two digits of a counter swapped", "digits-swapped", _digits_swapped, AT_CLOSE),
    Variant("one digit of a counter misread", "digit-misread", _digit_misread, AT_CLOSE[1:]),
    Variant("a voter left and nobody wrote it down", "left-unrecorded", _left),
    Variant("somebody voted without signing", "voted-unsigned", _unsigned),
    Variant("a machine not read", "machine-not-read", _not_read),
    Variant(
        "test votes at the opening",
        "votes-before-opening",
        _opened_above_0,
        AT_OPENING,
        _left_test_votes,
    ),
    Variant("a signature withdrawn of who had voted", "withdrawn-but-voted", _withdrawn),
    Variant("a provisional ballot in the machine", "provisional-in-machine", _in_the_machine),
    Variant("a namesake's line, then the own", "signed-on-two-lines", _two_lines),
    Variant("a ballot of the wrong button", "button-given-wrongly", _wrong_button),
)
