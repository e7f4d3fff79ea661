"""How a typed birth date, whole or in part, is like the birth date on every line."""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from app.matching.dates import DateParts, StartedDate
from app.matching.likeness import Kinds, Scores

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
BIRTH_SCORE_OF: Scores = np.array([0, 0.50, 0.60, 0.68, 0.70, 0.70, 0.72, 0.75, 0.95, 1.0])


class BirthDates:
    """The birth dates of some lines, in the order of the lines, as numbers YYYYMMDD."""

    def __init__(self, days: Days) -> None:
        self._year, self._month, self._day = days // 10_000, days // 100 % 100, days % 100
        self._digits = _digits_of(days)

    def compare(self, readings: Sequence[DateParts]) -> Kinds:
        """Compare with a whole date: the first of `readings` that is a day of the calendar.

        Where none is, all are kept as slips: `13/34/1987` is a digit away from `13/4/1987`.
        """
        kinds = np.zeros(len(self._year), dtype=np.uint8)
        real = [reading for reading in readings if reading.as_date()][:1]
        for reading in real or readings:
            self._mark_slips(kinds, reading)
        for reading in real:
            swapped = reading._replace(month=reading.day, day=reading.month)
            kinds[self._is(swapped)] = BirthLikeness.DAY_MONTH_SWAPPED
            kinds[self._is(reading)] = BirthLikeness.SAME
        return kinds

    def compare_started(self, started: StartedDate) -> Kinds:
        """Compare with a date that is still being typed."""
        kinds = np.zeros(len(self._year), dtype=np.uint8)
        is_year = self._year_starts(started.year_start)
        if started.day is not None:
            hits = is_year & (self._month == started.month) & (self._day == started.day)
            kinds[hits] = BirthLikeness.MONTH_AND_DAY
        elif started.month is not None:
            kinds[is_year & (self._month == started.month)] = BirthLikeness.YEAR_AND_MONTH
        else:
            kinds[is_year] = BirthLikeness.YEAR_SAME
        return kinds

    def compare_year(self, year: int) -> Kinds:
        """Compare with a year alone."""
        kinds = np.zeros(len(self._year), dtype=np.uint8)
        kinds[np.abs(self._year - year) == 1] = BirthLikeness.YEAR_NEAR
        kinds[self._year == year] = BirthLikeness.YEAR_SAME
        return kinds

    def _is(self, parts: DateParts) -> NDArray[np.bool_]:
        same: NDArray[np.bool_] = (
            (self._year == parts.year) & (self._month == parts.month) & (self._day == parts.day)
        )
        return same

    def _mark_slips(self, kinds: Kinds, typed: DateParts) -> None:
        digits = _digits_of(np.array([day_number(*typed)]))
        differs = self._digits != digits
        how_many = differs.sum(axis=0)
        swapped = (how_many == 2) & _has_neighbours_swapped(self._digits, digits, differs)
        is_day = (self._month == typed.month) & (self._day == typed.day)
        year_near = is_day & (np.abs(self._year - typed.year) == 1)
        for hits, kind in (
            (swapped, BirthLikeness.DIGITS_SWAPPED),
            (how_many == 1, BirthLikeness.ONE_DIGIT_OFF),
            (year_near, BirthLikeness.YEAR_OFF_BY_ONE),
        ):
            kinds[hits] = np.maximum(kinds[hits], kind)

    def _year_starts(self, start: str) -> NDArray[np.bool_]:
        """Years that are written, in full or by their last two digits, with this start."""
        years, year_of = np.unique(self._year, return_inverse=True)
        starts = np.array(
            [
                str(year).startswith(start) or f"{year % 100:02}".startswith(start)
                for year in years.tolist()
            ],
            dtype=np.bool_,
        )
        found: NDArray[np.bool_] = starts[year_of]
        return found


def day_number(year: int, month: int, day: int) -> int:
    """`YYYYMMDD` as a number; the parts need not be a day of the calendar."""
    return year * 10_000 + month * 100 + day


def near_days(typed: DateParts) -> list[int]:
    """The numbers of the days that a slip may have turned into `typed`, and its own."""
    year, month, day = typed
    number = day_number(*typed)
    digits = f"{number:08}"
    near = {number, day_number(year, day, month)}
    near |= {day_number(year + 1, month, day), day_number(year - 1, month, day)}
    for at in range(8):
        near |= {int(digits[:at] + other + digits[at + 1 :]) for other in "0123456789"}
    for at in range(7):
        near.add(int(digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]))
    return sorted(near)


def _digits_of(days: Days) -> NDArray[np.int32]:
    """The eight digits YYYYMMDD of each date, as eight rows."""
    return np.array([days // 10**place % 10 for place in range(7, -1, -1)], dtype=np.int32)


def _has_neighbours_swapped(
    printed: NDArray[np.int32], typed: NDArray[np.int32], differs: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    swapped: NDArray[np.bool_] = (
        (printed[:-1] == typed[1:]) & (printed[1:] == typed[:-1]) & differs[:-1] & differs[1:]
    ).any(axis=0)
    return swapped
