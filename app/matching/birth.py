"""How a typed birth date, whole or in part, is like the birth date on every line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import IntEnum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.matching.dates import DateParts, StartedDate
from app.matching.likeness import Kinds, Scores

# Years of birth, amply.
EARLIEST_YEAR, LATEST_YEAR = 1_850, 2_150
# Birth dates as numbers YYYYMMDD.
Days = NDArray[np.int32]


class BirthLikeness(IntEnum):
    """Ascending: where two hold for a line, the higher one is kept."""

    NONE = 0
    YEAR_NEAR = 1
    YEAR_AND_MONTH = 2
    DIGITS_SWAPPED = 3
    ONE_DIGIT_OFF = 4
    MONTH_AND_DAY = 5
    YEAR_OFF_BY_ONE = 6
    DAY_MONTH_SWAPPED = 7
    YEAR_SAME = 8
    SAME = 9


# Indexed by BirthLikeness.
BIRTH_SCORE_OF: Scores = np.array([0, 0.50, 0.60, 0.62, 0.64, 0.70, 0.68, 0.72, 0.95, 1.0])


class BirthDates:
    """The birth dates of some lines, in the order of the lines, as numbers YYYYMMDD."""

    def __init__(self, days: Days) -> None:
        self._days = days

    def compare(self, readings: Sequence[DateParts]) -> Kinds:
        """Compare with a whole date: the first of `readings` that is a day of the calendar.

        Where none is, all are kept as slips: `13/34/1987` is a digit away from `13/4/1987`.
        """
        days, kinds = _near(tuple(readings))
        at = np.minimum(np.searchsorted(days, self._days), len(days) - 1)
        return np.where(days[at] == self._days, kinds[at], np.uint8(BirthLikeness.NONE))

    def compare_started(self, started: StartedDate) -> Kinds:
        """Compare with a date that is still being typed."""
        kinds = np.zeros(len(self._days), dtype=np.uint8)
        hits = year_starts(self._days // 10_000, started.year_start)
        month, day = self._days // 100 % 100, self._days % 100
        if started.day is not None:
            hits &= (month == started.month) & (day == started.day)
            kinds[hits] = BirthLikeness.MONTH_AND_DAY
        elif started.month is not None:
            kinds[hits & (month == started.month)] = BirthLikeness.YEAR_AND_MONTH
        else:
            kinds[hits] = BirthLikeness.YEAR_SAME
        return kinds

    def compare_year(self, year: int) -> Kinds:
        """Compare with a year alone."""
        years = self._days // 10_000
        kinds = np.zeros(len(years), dtype=np.uint8)
        kinds[np.abs(years - year) == 1] = BirthLikeness.YEAR_NEAR
        kinds[years == year] = BirthLikeness.YEAR_SAME
        return kinds


def year_starts(years: NDArray[np.int32], start: str) -> NDArray[np.bool_]:
    """Years that are written, in full or by their last two digits, with this start."""
    at = np.clip(years, EARLIEST_YEAR, LATEST_YEAR) - EARLIEST_YEAR
    found: NDArray[np.bool_] = _years_starting(start)[at]
    return found


@lru_cache(maxsize=256)
def _years_starting(start: str) -> NDArray[np.bool_]:
    return np.array(
        [
            str(year).startswith(start) or f"{year % 100:02}".startswith(start)
            for year in range(EARLIEST_YEAR, LATEST_YEAR + 1)
        ],
        dtype=np.bool_,
    )


@lru_cache(maxsize=256)
def _near(readings: tuple[DateParts, ...]) -> tuple[Days, Kinds]:
    """The days that may be meant, ascending, and how each is like what was typed."""
    found: dict[int, BirthLikeness] = {}
    real = [reading for reading in readings if reading.as_date()][:1]
    for reading in real or readings:
        for day, kind in _slips(reading):
            found[day] = max(kind, found.get(day, BirthLikeness.NONE))
    for year, month, day in real:
        found[day_number(year, day, month)] = BirthLikeness.DAY_MONTH_SWAPPED
        found[day_number(year, month, day)] = BirthLikeness.SAME
    days = sorted(found)
    return np.array(days, dtype=np.int32), np.array([found[day] for day in days], dtype=np.uint8)


def _slips(typed: DateParts) -> Iterator[tuple[int, BirthLikeness]]:
    """Every day that one slip turned into `typed`."""
    number = day_number(*typed)
    digits = f"{number:08}"
    for at in range(8):
        for other in "0123456789":
            if other != digits[at]:
                yield int(digits[:at] + other + digits[at + 1 :]), BirthLikeness.ONE_DIGIT_OFF
    for at in range(7):
        if digits[at] != digits[at + 1]:
            swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
            yield int(swapped), BirthLikeness.DIGITS_SWAPPED
    for year in (typed.year - 1, typed.year + 1):
        yield day_number(year, typed.month, typed.day), BirthLikeness.YEAR_OFF_BY_ONE


def day_number(year: int, month: int, day: int) -> int:
    """`YYYYMMDD` as a number; the parts need not be a day of the calendar."""
    return year * 10_000 + month * 100 + day


def near_days(readings: Sequence[DateParts]) -> tuple[list[int], list[int]]:
    """The numbers of the days that a slip may have turned into what was typed, and of the
    day itself.
    """
    days, kinds = _near(tuple(readings))
    is_same = kinds == BirthLikeness.SAME
    return days[~is_same].tolist(), days[is_same].tolist()
