"""Birth dates as lists have them: year first, or day and month in the order of the place.

A date that the place's order makes impossible is not read in the other order: the office that
wrote `25/3/1987` may have written `3/4/1987` too, and nobody could tell what that means. What
spreadsheets store for a date (`31840`) is not guessed at.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date

from app.intake.cells import birth_date
from app.intake.fault_codes import Code
from app.rules.policy import DateOrder
from app.rules.written_dates import full_year, month_number

_PART = r"\s?[/.\-]\s?"
_YEAR_FIRST = re.compile(rf"(\d{{4}}){_PART}(\d{{1,2}}){_PART}(\d{{1,2}})")
_YEAR_LAST = re.compile(rf"(\d{{1,2}}){_PART}(\d{{1,2}}){_PART}(\d{{4}}|\d{{2}})")
_EIGHT_DIGITS = re.compile(r"(\d{2})(\d{2})(\d{2})(\d{2})")
_DAY_MONTH_NAME = re.compile(r"(\d{1,2})[\s.\-]+([a-z]{3,})\.?[\s.,\-]+(\d{4}|\d{2})")
_MONTH_NAME_DAY = re.compile(r"([a-z]{3,})\.?[\s.\-]*(\d{1,2})[\s.,\-]+(\d{4})")
# Databases export a date as midnight of that day.
_MIDNIGHT = re.compile(r"[ t]00?:00(?::00(?:\.0+)?)?(?: ?am|z)?$|[ ]12:00(?::00)? ?am$")

# The first two digits of the years in which voters were and will be born.
_CENTURIES = ("19", "20", "21")


def read_listed_date(text: str, order: DateOrder, election_date: date) -> date | Code:
    """The birth date that a filled cell means, or what is wrong with it.

    >>> read_listed_date("4 March 1987", "month_first", date(2027, 3, 2))
    datetime.date(1987, 3, 4)
    """
    parts = _parts(_plain(text), order, election_date.year)
    if parts is None:
        return Code.BIRTH_DATE_UNREADABLE
    year, month, day = parts
    return birth_date(f"{year:04}-{month:02}-{day:02}", election_date)


def _plain(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).lower().strip()
    dashed = plain if plain.isascii() else re.sub(r"[‐-―−]", "-", plain)
    return _MIDNIGHT.sub("", dashed)


def _parts(text: str, order: DateOrder, election_year: int) -> tuple[int, int, int] | None:
    """Year, month and day as written; together they need not be a date."""
    if not text.isascii():
        return None  # digits of other scripts
    if match := _YEAR_FIRST.fullmatch(text):
        return int(match[1]), int(match[2]), int(match[3])
    if match := _YEAR_LAST.fullmatch(text):
        month, day = _in_order(match[1], match[2], order)
        return full_year(match[3], election_year), month, day
    if match := _EIGHT_DIGITS.fullmatch(text):
        return _of_digits(text, order)
    if match := _DAY_MONTH_NAME.fullmatch(text):
        return _named(match[2], match[1], match[3], election_year)
    if match := _MONTH_NAME_DAY.fullmatch(text):
        return _named(match[1], match[2], match[3], election_year)
    return None


def _in_order(first: str, second: str, order: DateOrder) -> tuple[int, int]:
    pair = int(first), int(second)
    return pair if order == "month_first" else (pair[1], pair[0])


def _of_digits(text: str, order: DateOrder) -> tuple[int, int, int]:
    # No month and day begin a year of these centuries, so the two forms never meet.
    if text.startswith(_CENTURIES) and not text[4:].startswith(_CENTURIES):
        return int(text[:4]), int(text[4:6]), int(text[6:])
    month, day = _in_order(text[:2], text[2:4], order)
    return int(text[4:]), month, day


def _named(word: str, day: str, year: str, election_year: int) -> tuple[int, int, int] | None:
    month = month_number(word)
    return (full_year(year, election_year), month, int(day)) if month else None
