"""The one reading of a typed text that every anchor gets: dates, years, suffixes, names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from finding_bench.folding import words_of
from finding_bench.people import ELECTION_YEAR

_MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()
_MONTH = r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_NUMBERS = re.compile(r"\b(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{4}|\d{2})(?!\d)")
_YEAR_FIRST = re.compile(r"\b(\d{4})-(\d{1,2})-(\d{1,2})(?!\d)")
_EIGHT = re.compile(r"(?<!\d)(\d{8})(?!\d)")
_DAY_MONTH = re.compile(rf"\b(\d{{1,2}}) {_MONTH},? (\d{{4}})\b")
_MONTH_DAY = re.compile(rf"\b{_MONTH} (\d{{1,2}}),? (\d{{4}})\b")
_YEAR = re.compile(r"(?<!\d)((?:19|20)\d\d)(?!\d)")
_STARTED = re.compile(r"(?<!\d)(\d{1,2})/(\d{1,2})(?:/\d{0,3})?\s*$")

SUFFIXES = {"jr": "Jr", "junior": "Jr", "sr": "Sr", "senior": "Sr", "ii": "II", "iii": "III"}
# More words than a name has would only cost time.
MOST_WORDS = 6


class Typed(NamedTuple):
    """What was typed, understood.

    words: folded name words in typed order. comma_at: the position of the word after a
    comma. births: possible dates, the likeliest first. month_day: of a date that is not
    typed to its end.
    """

    words: tuple[str, ...]
    comma_at: int | None = None
    suffix: str = ""
    births: tuple[date, ...] = ()
    year: int | None = None
    month_day: tuple[int, int] | None = None


def read_typed(text: str) -> Typed:
    """Read `text`; digits that are no date are left out."""
    rest, births = _take_date(text.lower())
    year = month_day = None
    if not births:
        if found := _STARTED.search(rest):
            month_day = int(found[1]), int(found[2])
        elif found := _YEAR.search(rest):
            year = int(found[1])
        if found:
            rest = _without(rest, found)
    words = list(_words(rest))
    suffix = next((SUFFIXES[word] for word in words if word in SUFFIXES), "")
    kept = [word for word in words if word not in SUFFIXES]
    comma_at = kept.index(",") if "," in kept else None
    names = tuple(word for word in kept if word != ",")[:MOST_WORDS]
    if comma_at is not None and not 0 < comma_at < len(names):
        comma_at = None
    return Typed(names, comma_at, suffix, births, year, month_day)


def _words(text: str) -> Iterator[str]:
    """The folded words without digits, and the first comma in its place."""
    before, comma, after = text.partition(",")
    yield from filter(str.isalpha, words_of(before))
    yield from comma
    yield from filter(str.isalpha, words_of(after))


def _take_date(text: str) -> tuple[str, tuple[date, ...]]:
    """The text without its date, and what that may be."""
    if found := _YEAR_FIRST.search(text):
        made = _dates((found[1], found[2], found[3]))
    elif found := _NUMBERS.search(text):
        year = _full_year(found[3])
        made = _dates((year, found[1], found[2]), (year, found[2], found[1]))
    elif found := _EIGHT.search(text):
        digits = found[1]
        first, second, last = digits[:2], digits[2:4], digits[4:]
        made = _dates(
            (last, first, second), (digits[:4], digits[4:6], digits[6:]), (last, second, first)
        )
    elif found := _DAY_MONTH.search(text):
        made = _dates((found[3], _MONTHS.index(found[2]) + 1, found[1]))
    elif found := _MONTH_DAY.search(text):
        made = _dates((found[3], _MONTHS.index(found[1]) + 1, found[2]))
    else:
        return text, ()
    return _without(text, found), made


def _dates(*triples: tuple[str | int, str | int, str | int]) -> tuple[date, ...]:
    made: dict[date, None] = {}
    for year, month, day in triples:
        try:
            read = date(int(year), int(month), int(day))
        except ValueError:
            continue
        if ELECTION_YEAR - 130 <= read.year <= ELECTION_YEAR:
            made[read] = None
    return tuple(made)


def _full_year(year: str) -> int:
    if len(year) == 4:
        return int(year)
    latest = ELECTION_YEAR - 16
    return latest - (latest - int(year)) % 100


def _without(text: str, found: re.Match[str]) -> str:
    return f"{text[: found.start()]} {text[found.end() :]}"
