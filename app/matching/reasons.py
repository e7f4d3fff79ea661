"""Why a line came up, in words that can be read aloud at the table.

Codes are stable: the page may have words of its own for them. No reason repeats what is
printed on the line; it names the field and how what was typed fits it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.matching.birth import BirthLikeness
from app.matching.known_as import other_names
from app.matching.likeness import Likeness
from app.matching.reading import Field, Reading
from app.matching.shortlist import Shortlist


@dataclass(frozen=True, slots=True)
class Why:
    """One reason: a stable code and a plain phrase."""

    code: str
    words: str


SWAPPED = Why("first-last-swapped", "first and last name swapped")

_LIKENESS = {
    Likeness.SAME: ("same", "as typed"),
    Likeness.STARTS: ("starts", "starts with {text}"),
    Likeness.ONE_LETTER_OFF: ("one-letter", "one letter off"),
    Likeness.TWO_LETTERS_OFF: ("two-letters", "two letters off"),
    Likeness.STARTS_ONE_LETTER_OFF: ("starts-one-letter", "starts almost like {text}"),
    Likeness.SOUNDS_LIKE: ("sounds", "sounds like {text}"),
    Likeness.INITIAL_PRINTED: ("initial", "printed as an initial"),
}

_BIRTH = {
    BirthLikeness.SAME: Why("birth-date", "birth date agrees"),
    BirthLikeness.DAY_MONTH_SWAPPED: Why("birth-day-month-swapped", "day and month swapped"),
    BirthLikeness.YEAR_OFF_BY_ONE: Why("birth-year-near", "year off by one"),
    BirthLikeness.YEAR_NEAR: Why("birth-year-near", "year off by one"),
    BirthLikeness.ONE_DIGIT_OFF: Why("birth-one-digit", "one digit of the birth date differs"),
    BirthLikeness.DIGITS_SWAPPED: Why(
        "birth-digits-swapped", "two digits of the birth date swapped"
    ),
    BirthLikeness.MONTH_AND_DAY: Why("birth-month-day", "month and day of birth agree"),
    BirthLikeness.YEAR_AND_MONTH: Why("birth-year-month", "year and month of birth agree"),
}

_CODE_OF_FIELD = {
    Field.LAST: "last",
    Field.FIRST: "first",
    Field.MIDDLE: "middle",
    Field.MAIDEN: "maiden",
}
_PRINT_ORDER = {field: at for at, field in enumerate(Field)}


def reasons(
    path: Sequence[Reading], here: Shortlist, at: int, comma_at: int | None
) -> tuple[Why, ...]:
    """The reasons behind the readings of one line, in print order, each said once."""
    ordered = sorted(path, key=lambda reading: _PRINT_ORDER[reading.field])
    found = [_reason(reading, here, at) for reading in ordered]
    if _is_swapped(path, comma_at):
        found.append(SWAPPED)
    return tuple(dict.fromkeys(found))


def _reason(reading: Reading, here: Shortlist, at: int) -> Why:
    kind = int(reading.kinds[at])
    match reading.field:
        case Field.BIRTH if kind == BirthLikeness.YEAR_SAME:
            return Why("birth-year", f"born in {here.birth_year(at)}")
        case Field.BIRTH:
            return _BIRTH[BirthLikeness(kind)]
        case Field.NUMBER if kind == Likeness.SAME:
            return Why("voter-number", "voter number")
        case Field.NUMBER:
            return Why("voter-number-starts", f"voter number starts with {reading.text}")
        case Field.SUFFIX:
            return Why("suffix", "suffix as typed")
        case Field.HOUSE:
            return Why("house-number", "house number")
        case Field.STREET:
            return Why("street", "street")
        case _:
            return _name_reason(reading, Likeness(kind), here, at)


def _name_reason(reading: Reading, kind: Likeness, here: Shortlist, at: int) -> Why:
    if kind in (Likeness.NICKNAME, Likeness.NICKNAME_STARTS):
        return Why("known-as", f"known as {_nickname(reading, here.first_names(at))}")
    code, words = _LIKENESS[kind]
    field = _CODE_OF_FIELD[reading.field]
    if reading.field is Field.MAIDEN and kind == Likeness.SAME:
        return Why("maiden-same", Field.MAIDEN.value)
    if reading.field is Field.LAST and reading.on_part is not None and reading.on_part[at]:
        return Why(f"last-part-{code}", f"part of the last name {words.format(text=reading.text)}")
    return Why(f"{field}-{code}", f"{reading.field.value} {words.format(text=reading.text)}")


def _nickname(reading: Reading, first_names: Sequence[str]) -> str:
    """The nickname in full, where only its start was typed."""
    for name in first_names:
        for other in other_names(name):
            if other.startswith(reading.folded):
                return other.capitalize()
    return reading.text.capitalize()


def _is_swapped(path: Sequence[Reading], comma_at: int | None) -> bool:
    """Whether the comma claims that the first name is the last one."""
    if comma_at is None:
        return False
    last = [reading.start for reading in path if reading.field is Field.LAST]
    first = [reading.start for reading in path if reading.field is Field.FIRST]
    return any(at >= comma_at for at in last) and any(at < comma_at for at in first)
