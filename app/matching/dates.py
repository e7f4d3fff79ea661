"""Birth dates as people type them.

`read_birth_date` takes a whole text that is one date. `readings_of` also keeps days
and months that cannot be, because a date with a wrong digit is still worth comparing.
`read_part` takes a date that is still being typed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from app.rules.policy import DateOrder
from app.rules.written_dates import full_year, month_number

# Nobody on a register was born longer ago; an older year is a slip of the hand.
OLDEST_YEARS = 130

_PART = r"[\s/.\-]+"
_YEAR_FIRST = re.compile(rf"(\d{{4}}){_PART}(\d{{1,2}}){_PART}(\d{{1,2}})")
_YEAR_LAST = re.compile(rf"(\d{{1,2}}){_PART}(\d{{1,2}}){_PART}(\d{{4}}|\d{{2}})")
_DIGITS = re.compile(r"\d{8}|\d{6}")
_ORDINAL = r"(?:st|nd|rd|th)?"
_LOOSE = r"[\s,./\-]*"
_DAY_MONTH_NAME = re.compile(
    rf"(\d{{1,2}}){_ORDINAL}{_LOOSE}(?:de\s+)?([a-z]{{3,}}){_LOOSE}(?:de\s+)?'?(\d{{4}}|\d{{2}})"
)
_MONTH_NAME_DAY = re.compile(
    rf"([a-z]{{3,}}){_LOOSE}(\d{{1,2}}){_ORDINAL}[\s,./\-]+'?(\d{{4}}|\d{{2}})"
)
_STARTED = re.compile(r"(\d{1,2})[/.\-](\d{1,2})(?:[/.\-](\d{0,3}))?")
_STARTED_YEAR_FIRST = re.compile(r"(\d{4})-(\d{0,2})(?:-\d?)?")


class DateParts(NamedTuple):
    """Year, month and day as typed; together they need not be a date."""

    year: int
    month: int
    day: int

    def as_date(self) -> date | None:
        """The date, or None where there is no such day."""
        try:
            return date(self.year, self.month, self.day)
        except ValueError:
            return None


class StartedDate(NamedTuple):
    """A date still being typed: None and empty text mean not typed yet."""

    year_start: str
    month: int | None
    day: int | None


def read_birth_date(text: str, *, date_order: DateOrder, election_year: int) -> date | None:
    """The birth date that `text` as a whole means, or None.

    `3/4/1987` is read by `date_order`; where that order cannot be (`25/3/1987`) the other
    one is taken. Two digits of a year mean the latest year that makes the person at least
    16 in `election_year`. Years after the election or more than 130 before it are refused.
    """
    for parts in readings_of(text, date_order=date_order, election_year=election_year):
        if found := parts.as_date():
            return found
    return None


# Asked for the same words again and again while somebody types.
@lru_cache(maxsize=512)
def readings_of(text: str, *, date_order: DateOrder, election_year: int) -> tuple[DateParts, ...]:
    """All ways to read `text` as a date, the likeliest first; days and months unchecked."""
    readings = dict.fromkeys(_readings(_plain(text), date_order, election_year))
    years = range(election_year - OLDEST_YEARS, election_year + 1)
    return tuple(parts for parts in readings if parts.year in years)


def read_part(text: str, *, date_order: DateOrder) -> StartedDate | None:
    """What is known of a date that is not typed to its end: `3/4`, `3/4/19`, `1987-03`."""
    text = _plain(text)
    if match := _STARTED_YEAR_FIRST.fullmatch(text):
        year, month = match.groups()
        return StartedDate(year, int(month) if len(month) == 2 else None, None)
    if match := _STARTED.fullmatch(text):
        first, second = int(match[1]), int(match[2])
        is_month_first = second > 12 or (date_order == "month_first" and first <= 12)
        month_day = (first, second) if is_month_first else (second, first)
        return StartedDate(match[3] or "", *month_day)
    return None


def _plain(text: str) -> str:
    """Full-width digits made plain, any dash a hyphen, lower case, trimmed."""
    text = unicodedata.normalize("NFKC", text).lower().strip()
    return re.sub(r"[‐-―−]", "-", text) if not text.isascii() else text


def _readings(text: str, order: DateOrder, election_year: int) -> Iterator[DateParts]:
    if match := _YEAR_FIRST.fullmatch(text):
        yield DateParts(int(match[1]), int(match[2]), int(match[3]))
    elif match := _YEAR_LAST.fullmatch(text):
        year = full_year(match[3], election_year)
        yield from _both_orders(int(match[1]), int(match[2]), year, order)
    elif _DIGITS.fullmatch(text):
        yield from _digit_readings(text, order, election_year)
    elif match := _DAY_MONTH_NAME.fullmatch(text):
        if month := month_number(match[2]):
            yield DateParts(full_year(match[3], election_year), month, int(match[1]))
    elif (match := _MONTH_NAME_DAY.fullmatch(text)) and (month := month_number(match[1])):
        yield DateParts(full_year(match[3], election_year), month, int(match[2]))


def _digit_readings(digits: str, order: DateOrder, election_year: int) -> Iterator[DateParts]:
    first, second, year = int(digits[:2]), int(digits[2:4]), digits[4:]
    yield from _both_orders(first, second, full_year(year, election_year), order)
    yield DateParts(full_year(digits[:-4], election_year), int(digits[-4:-2]), int(digits[-2:]))


def _both_orders(first: int, second: int, year: int, order: DateOrder) -> Iterator[DateParts]:
    month_first = DateParts(year, first, second)
    day_first = DateParts(year, second, first)
    yield from (month_first, day_first) if order == "month_first" else (day_first, month_first)
