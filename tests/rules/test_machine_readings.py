"""Counters: what cannot be right about a reading is said, and what can be is not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.machine_readings import AtMoment, Reading, ZeroReport, doubts_about, off_by, placed
from app.rules.setting import Machine

MACHINE = Machine("TM-0417", 18_233)
RIGHT = ZeroReport(True, True, True, True, 18_233)


def reading(
    seq: int, at: AtMoment, public: int, protective: int | None = None, replaces: int | None = None
) -> Reading:
    return Reading("TM-0417", at, public, protective, replaces=replaces, seq=seq, place=seq)


def codes(new: Reading, *before: Reading) -> list[str]:
    return [one.code for one in doubts_about(new, placed(before), MACHINE)]


OPENED = Reading("TM-0417", "opening", 0, 18_233, zero_report=RIGHT, seq=1, place=1)
NOON = reading(5, "during", 120, 18_353)


def test_a_day_that_goes_well_raises_no_doubt() -> None:
    assert codes(OPENED) == []
    assert codes(NOON, OPENED) == []
    assert codes(reading(9, "close", 300, 18_533), OPENED, NOON) == []


@pytest.mark.parametrize(
    ("public", "protective", "expected"),
    [
        (119, 18_352, ["counter-went-down", "counter-went-down"]),
        (130, 18_352, ["counter-went-down", "protective-moved-otherwise"]),
        (130, 18_364, ["protective-moved-otherwise"]),
        (120, 18_353, []),
        (119, None, ["counter-went-down"]),
    ],
)
def test_a_counter_that_goes_down_or_moves_by_another_amount_is_doubted(
    public: int, protective: int | None, expected: list[str]
) -> None:
    assert codes(reading(9, "during", public, protective), OPENED, NOON) == expected


def test_without_a_reading_before_the_packages_counter_is_compared() -> None:
    assert codes(reading(9, "close", 300, 18_533)) == []
    assert codes(reading(9, "close", 300, 18_540)) == ["protective-moved-otherwise"]


def test_a_reading_that_stands_in_for_an_earlier_one_is_compared_at_its_place() -> None:
    """Noon is corrected in the evening: it must still lie between the opening and the close."""
    close = reading(9, "close", 300, 18_533)
    assert codes(reading(12, "during", 121, 18_354, replaces=5), OPENED, NOON, close) == []
    high = reading(12, "during", 400, 18_633, replaces=5)
    assert "counter-went-down" in codes(high, OPENED, NOON, close)


def test_a_reading_replaced_twice_counts_once_at_its_first_place() -> None:
    second, third = (reading(n, "during", 121, None, replaces=n - 1) for n in (6, 7))
    assert [(one.seq, one.place) for one in placed([OPENED, NOON, second, third])] == [
        (1, 1),
        (7, 5),
    ]


def test_counts_by_ballot_add_up_to_the_public_counter() -> None:
    right = Reading("TM-0417", "close", 300, by_button={"1": 200, "2": 100}, seq=9, place=9)
    wrong = Reading("TM-0417", "close", 300, by_button={"1": 200, "2": 101}, seq=9, place=9)
    assert (codes(right, OPENED), codes(wrong, OPENED)) == ([], ["buttons-do-not-add-up"])


@given(st.integers(0, 500), st.integers(0, 500), st.integers(0, 500))
def test_machines_are_off_exactly_outside_what_they_must_lie_between(
    machines: int, one: int, other: int
) -> None:
    least, most = sorted((one, other))
    off = off_by(machines, least, most)
    assert (off == 0) == (least <= machines <= most)
    assert (off > 0) == (machines > most)
    assert least <= machines - off <= most


@given(st.lists(st.integers(0, 50), min_size=1, max_size=8))
def test_counters_that_only_count_are_never_doubted(steps: list[int]) -> None:
    before, public = [OPENED], 0
    for number, step in enumerate(steps, 2):
        public += step
        new = reading(number, "during", public, 18_233 + public)
        assert codes(new, *before) == []
        before.append(new)
