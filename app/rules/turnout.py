"""Turnout: how many signed in which hour, and what share of the lines that is. Counts alone; pure.

An hour is an hour that passed, from one full hour to the next at the polling place: on the night
the clocks change one is there twice, or not at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from app.rules.moment import DayState
from app.rules.setting import Election

HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Counts:
    """`ordinary`: on a line of the register or a supplemental page. `affidavit`: on a line that
    a correction affidavit added. `provisional`: ballots in envelopes, whose voters signed there.
    """

    ordinary: int = 0
    affidavit: int = 0
    provisional: int = 0

    @property
    def signed(self) -> int:
        return self.ordinary + self.affidavit

    def plus(self, other: Counts) -> Counts:
        return Counts(
            self.ordinary + other.ordinary,
            self.affidavit + other.affidavit,
            self.provisional + other.provisional,
        )


NOBODY = Counts()
ByMoment = Mapping[datetime, Counts]


@dataclass(frozen=True, slots=True)
class Hour:
    """`so_far` is all since the day began, this hour included."""

    begins: datetime
    ends: datetime
    counts: Counts
    so_far: Counts


@dataclass(frozen=True, slots=True)
class Hourly:
    """The hours of `day`, and what was recorded on other days: a drill, or a clock set wrong."""

    day: date
    hours: tuple[Hour, ...]
    outside: Counts

    @property
    def total(self) -> Counts:
        return together((*(hour.counts for hour in self.hours), self.outside))


def together(counts: Iterable[Counts]) -> Counts:
    total = NOBODY
    for one in counts:
        total = total.plus(one)
    return total


def hourly(election: Election, day: DayState, zone: tzinfo, found: ByMoment) -> Hourly:
    """What was found, by the hour of the day on which the polls were opened.

    `zone` is the election's. The hours go from opening to closing, or to where an order
    extended it; further where something was recorded sooner or later that day.
    """
    on = day.opened.at.astimezone(zone).date() if day.opened else election.date
    today = {at: counts for at, counts in found.items() if at.astimezone(zone).date() == on}
    others = together(counts for at, counts in found.items() if at not in today)
    ends = [election.closes]
    if day.extension:
        ends.append(time.fromisoformat(day.extension.until))
    first = min([_at(on, election.opens, zone), *today])
    # What was recorded at the full hour belongs to the hour that begins there.
    last = max(
        [*(_at(on, end, zone) for end in ends), *(at + timedelta.resolution for at in today)]
    )
    return Hourly(on, tuple(_filled(_hours(first, last, zone), today)), others)


def _at(on: date, local: time, zone: tzinfo) -> datetime:
    """A local time of that day as a moment; arithmetic on moments knows no changed clocks."""
    return datetime.combine(on, local, zone).astimezone(UTC)


def _hours(first: datetime, last: datetime, zone: tzinfo) -> Iterable[datetime]:
    local = first.astimezone(zone)
    past = timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    begins = first - past
    while begins < last:
        yield begins
        begins += HOUR


def _filled(hours: Iterable[datetime], found: ByMoment) -> Iterable[Hour]:
    so_far = NOBODY
    for begins in hours:
        ends = begins + HOUR
        counts = together(one for at, one in found.items() if begins <= at < ends)
        so_far = so_far.plus(counts)
        yield Hour(begins, ends, counts, so_far)


def share(part: int, whole: int) -> float | None:
    """From 0 to 1, None of nothing."""
    return part / whole if whole else None
