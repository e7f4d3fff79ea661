"""Turnout by the hour: every hour at the polling place, also where the clocks change."""

from __future__ import annotations

import datetime
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.moment import DayState, Extension
from app.rules.turnout import NOBODY, Counts, Hourly, hourly, share, together
from tests.making import act, setting

NEW_YORK = ZoneInfo("America/New_York")
ELECTION = setting().election
ONE = Counts(ordinary=1)
OPENED = DayState(opened=act())  # noon in Tern County on 2 March 2027


def at(local: str, on: datetime.date = ELECTION.date) -> datetime.datetime:
    clock = datetime.time.fromisoformat(local)
    return datetime.datetime.combine(on, clock, NEW_YORK).astimezone(datetime.UTC)


def named(found: Hourly) -> dict[str, int]:
    return {f"{h.begins.astimezone(NEW_YORK):%H:%M}": h.counts.signed for h in found.hours}


def test_the_hours_go_from_opening_to_closing_even_where_nobody_came() -> None:
    found = hourly(ELECTION, OPENED, NEW_YORK, {})
    assert list(named(found)) == [f"{hour:02}:00" for hour in range(7, 20)]
    assert found.total == NOBODY
    assert found.hours[0].ends - found.hours[0].begins == datetime.timedelta(hours=1)


def test_what_comes_at_the_full_hour_belongs_to_the_hour_that_begins() -> None:
    found = hourly(ELECTION, OPENED, NEW_YORK, {at("07:59"): ONE, at("08:00"): ONE})
    assert (named(found)["07:00"], named(found)["08:00"]) == (1, 1)
    assert [hour.so_far.signed for hour in found.hours[:3]] == [1, 2, 2]


def test_whoever_stood_in_line_at_closing_makes_the_day_longer() -> None:
    found = hourly(ELECTION, OPENED, NEW_YORK, {at("06:50"): ONE, at("20:00"): ONE})
    first, *_, last = named(found)
    assert (first, last) == ("06:00", "20:00")
    assert found.total.signed == 2


def test_hours_extended_by_an_order_are_there_before_anybody_came() -> None:
    extended = replace(OPENED, extensions=(Extension(act(9), "Order 27-118", "21:30"),))
    assert list(named(hourly(ELECTION, extended, NEW_YORK, {})))[-1] == "21:00"


def test_what_another_date_says_is_counted_apart() -> None:
    yesterday = at("10:00", datetime.date(2027, 3, 1))
    found = hourly(ELECTION, OPENED, NEW_YORK, {yesterday: ONE, at("10:00"): ONE})
    assert (found.outside, found.total.signed) == (ONE, 2)
    assert found.hours[-1].so_far.signed == 1


def test_in_a_drill_the_hours_are_of_the_day_on_which_the_polls_were_opened() -> None:
    before = hourly(ELECTION, DayState(), NEW_YORK, {})
    assert before.day == ELECTION.date
    other = replace(act(), at=datetime.datetime(2027, 2, 20, 15, tzinfo=datetime.UTC))
    drill = hourly(ELECTION, DayState(opened=other), NEW_YORK, {other.at: ONE})
    assert drill.day == datetime.date(2027, 2, 20)
    assert (drill.outside, drill.total) == (NOBODY, ONE)


@pytest.mark.parametrize(
    ("on", "hours"),
    [
        # Clocks change at two in the morning on these Sundays (15 U.S.C. 260a, from memory).
        (datetime.date(2027, 3, 14), ["00:00", "01:00", "03:00", "04:00"]),
        (datetime.date(2027, 11, 7), ["00:00", "01:00", "01:00", "02:00", "03:00", "04:00"]),
    ],
)
def test_on_the_night_the_clocks_change_an_hour_is_missing_or_there_twice(
    on: datetime.date, hours: list[str]
) -> None:
    election = replace(
        ELECTION, date=on, opens=datetime.time(0), closes=datetime.time(5), time_zone=NEW_YORK.key
    )
    start = at("00:00", on)
    each = {start + datetime.timedelta(minutes=30 + 60 * n): ONE for n in range(len(hours))}
    found = hourly(election, DayState(), NEW_YORK, each)
    assert [f"{h.begins.astimezone(NEW_YORK):%H:%M}" for h in found.hours] == hours
    assert [h.counts.signed for h in found.hours] == [1] * len(hours)


def test_a_zone_half_an_hour_off_has_hours_of_its_own_clock() -> None:
    kolkata = ZoneInfo("Asia/Kolkata")
    found = hourly(ELECTION, DayState(), kolkata, {})
    assert {h.begins.astimezone(kolkata).minute for h in found.hours} == {0}


@given(
    st.lists(
        st.tuples(
            st.integers(0, 3 * 24 * 3_600),
            st.builds(Counts, *[st.integers(0, 9)] * 3),
        ),
        max_size=30,
    ),
    st.sampled_from(["America/New_York", "Pacific/Honolulu", "Asia/Kolkata", "UTC"]),
)
def test_nobody_is_lost_and_nobody_is_counted_twice(
    entries: list[tuple[int, Counts]], zone: str
) -> None:
    start = datetime.datetime(2027, 3, 1, tzinfo=datetime.UTC)
    found = {start + datetime.timedelta(seconds=after): counts for after, counts in entries}
    result = hourly(ELECTION, OPENED, ZoneInfo(zone), found)
    assert result.total == together(found.values())
    so_far = [hour.so_far.signed for hour in result.hours]
    assert so_far == sorted(so_far)
    assert all(a.ends == b.begins for a, b in zip(result.hours, result.hours[1:], strict=False))


def test_a_share_of_nothing_is_none() -> None:
    assert share(1, 4) == 0.25
    assert share(0, 0) is None
