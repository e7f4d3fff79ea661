"""Who a driver licence or identification card says its holder is.

Takes the name, birth date and address from the text of the barcode on the back (AAMVA
DL/ID Card Design Standard, versions 01 to 10, and older cards) or from the magnetic stripe,
and nothing else: no
licence number, no sex, height, weight, eyes or photograph, no dates of the card. What is
taken is used to find a line and then dropped; it is stored and logged nowhere. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from app.matching.licence_elements import read_elements
from app.matching.licence_stripe import read_stripe
from app.matching.names import SUFFIXES, glue

NameField = Literal["last_name", "first_name", "middle_names"]

# What stands in an element that has no value, folded.
_PLACEHOLDERS = frozenset({"none", "unavl"})
_TRUNCATION_FLAGS: dict[str, NameField] = {
    "DDE": "last_name",
    "DDF": "first_name",
    "DDG": "middle_names",
}
# The 2000 standard parts a full name with commas, as magnetic stripes do with `$`.
_NAME_BREAKS = re.compile(r"[,$@]")
_BIRTH_DATE = re.compile(r"([0-9]{2})[-/ ]?([0-9]{2})[-/ ]?([0-9]{2})[-/ ]?([0-9]{2})")
_CENTURIES = ("18", "19", "20")
_NINE_DIGITS = re.compile(r"([0-9]{5})-?([0-9]{4})")


# No repr: a licence that got into a message would show whose it is.
@dataclass(frozen=True, slots=True, repr=False)
class Licence:
    """The holder, as printed there. Empty text and None mean that it was not said.

    `is_truncated`: the names that are longer than the card has room for.
    """

    last_name: str = ""
    first_name: str = ""
    middle_names: tuple[str, ...] = ()
    suffix: str = ""
    birth_date: date | None = None
    street_address: str = ""
    city: str = ""
    postal_code: str = ""
    is_truncated: frozenset[NameField] = frozenset()


def read_licence(text: str) -> Licence | None:
    """The licence whose barcode or stripe was typed as `text`; None where it is not a licence.

    Control characters may be there, changed, turned into spaces, or gone. A text that is
    evidently a licence's and cannot be read is a `Licence` without anything. Never raises.
    """
    found = read_elements(text)
    if found is None:
        found = read_stripe(text)
    if found is None:
        return None
    elements = {key: value for key, value in found.items() if glue(value) not in _PLACEHOLDERS}
    last_name, first_name, middle_names, suffix = _name(elements)
    return Licence(
        last_name,
        first_name,
        middle_names,
        suffix,
        _birth_date(elements.get("DBB") or elements.get("DBL", "")),
        # Old cards have a mailing address (DAG) beside that of the residence (DAL).
        _plain(elements.get("DAL") or elements.get("DAG", "")),
        elements.get("DAN") or elements.get("DAI", ""),
        _postal_code(elements.get("DAP") or elements.get("DAK", "")),
        frozenset(
            field
            for flag, field in _TRUNCATION_FLAGS.items()
            if elements.get(flag, "").upper() == "T"
        ),
    )


def _name(elements: dict[str, str]) -> tuple[str, str, tuple[str, ...], str]:
    """Last name, first name, middle names, suffix."""
    last = elements.get("DCS") or elements.get("DAB", "")
    given = elements.get("DAC", "")
    middle = elements.get("DAD", "")
    suffix = elements.get("DCU") or elements.get("DAE", "")
    if not given and "DCT" in elements:
        given, middle = _first_and_others(elements["DCT"])
    elif not middle and "," in given:
        given, middle = _first_and_others(given)
    if not last or not (given or len(_parts(last)) < 2):
        last, given, middle, in_name = _full_name(last or elements.get("DAA", ""))
        suffix = suffix or in_name
    last, last_suffix = _without_suffix(_plain(last))
    middle, middle_suffix = _without_suffix(_plain(middle))
    return last, _plain(given), tuple(middle.split()), suffix or last_suffix or middle_suffix


def _full_name(name: str) -> tuple[str, str, str, str]:
    """`LAST,FIRST,MIDDLE,SUFFIX`; without commas, as some issuers have it, `FIRST MIDDLE LAST`."""
    parts = _parts(name)
    if len(parts) > 1:
        last, first, middle, suffix, *_ = [*parts, "", "", ""]
        if not middle:
            first, middle = _first_and_others(first)
        return last, first, middle, suffix
    words = name.split()
    if len(words) > 1 and glue(words[-1]) in SUFFIXES:
        *words, suffix = words
    else:
        suffix = ""
    if len(words) < 2:
        return name, "", "", suffix
    return words[-1], words[0], " ".join(words[1:-1]), suffix


def _first_and_others(given: str) -> tuple[str, str]:
    """Given names of one element: parted by commas, by some issuers with spaces."""
    parts = _parts(given) if "," in given else given.split()
    return parts[0] if parts else "", " ".join(parts[1:])


def _parts(name: str) -> list[str]:
    """The pieces between the commas, also empty ones, of which none are at the end."""
    parts = [piece.strip() for piece in _NAME_BREAKS.split(name)]
    while parts and not parts[-1]:
        parts.pop()
    return parts


def _plain(name: str) -> str:
    """Without what parts names, single spaces."""
    return " ".join(_NAME_BREAKS.sub(" ", name).split())


def _without_suffix(name: str) -> tuple[str, str]:
    """A name and the suffix that some issuers leave in it."""
    *names, last = name.split() or [""]
    return (" ".join(names), last) if names and glue(last) in SUFFIXES else (name, "")


def _birth_date(value: str) -> date | None:
    """`MMDDCCYY` as in the United States or `CCYYMMDD` as in Canada and the 2000 standard.

    A year begins with 18, 19 or 20 and no month does, so that the country, which a card
    may say or not, is not needed to tell them apart.
    """
    found = _BIRTH_DATE.match(value)
    if found is None:
        return None
    one, two, three, four = found.groups()
    is_year_first = one in _CENTURIES
    year, month, day = (one + two, three, four) if is_year_first else (three + four, one, two)
    return _real_day(map(int, (year, month, day))) if year[:2] in _CENTURIES else None


def _real_day(parts: Iterable[int]) -> date | None:
    try:
        return date(*parts)
    except ValueError:
        return None


def _postal_code(value: str) -> str:
    """Five digits and, where the rest is known, four more; others as printed."""
    if found := _NINE_DIGITS.match(value):
        return found[1] if found[2] == "0000" else f"{found[1]}-{found[2]}"
    return value
