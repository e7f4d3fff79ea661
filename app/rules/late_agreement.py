"""Whom a row of a late list means: how far it agrees with the lines that could be meant.

Number, name and birth date together name a person; any one of them alone has been written
down wrongly before. How names and numbers are folded is the caller's to say (`Keys`), because
nothing of ours is imported here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Protocol

from app.rules.line import Line, LineState, PrintedLine


class ListedRow(Protocol):
    """A row of a list, from a file or keyed in; blank is what the list does not have.

    `problems` are codes of what could not be read in the row.
    """

    @property
    def row_number(self) -> int: ...
    @property
    def voter_number(self) -> str: ...
    @property
    def last_name(self) -> str: ...
    @property
    def first_name(self) -> str: ...
    @property
    def middle_name(self) -> str: ...
    @property
    def suffix(self) -> str: ...
    @property
    def birth_date(self) -> date | None: ...
    @property
    def problems(self) -> Sequence[str]: ...


class Agreement(StrEnum):
    """How far a row agrees with the register.

    number_and_person: number, name and birth date name the same line.
    number_only: the number is a line's; name or birth date is missing or another's.
    person_only: name and birth date are a line's; the number is missing or nobody's.
    several: more than one line could be meant. none: no line could.
    """

    NUMBER_AND_PERSON = "number_and_person"
    NUMBER_ONLY = "number_only"
    PERSON_ONLY = "person_only"
    SEVERAL = "several"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Keys:
    """What two writings of one number, name or suffix have in common; blank stays blank."""

    number: Callable[[str], str]
    name: Callable[[str], str]
    suffix: Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line that could be meant, and what stands on it now."""

    line: Line
    state: LineState


@dataclass(frozen=True, slots=True)
class Match:
    """`candidates`: the one whose number agrees first, then those whose person agrees."""

    agreement: Agreement
    candidates: tuple[Candidate, ...]
    reasons: tuple[str, ...] = ()


def match(row: ListedRow, candidates: Iterable[Candidate], keys: Keys) -> Match:
    """How far the row agrees, and with which of the candidates. Others are left out."""
    given = tuple(candidates)
    number = keys.number(row.voter_number)
    by_number = [each for each in given if number and _has_number(each, number, keys)]
    by_person = [each for each in given if _is_person(row, each.line.printed, keys)]
    if len(by_number) == 1 and any(each is by_number[0] for each in by_person):
        return Match(Agreement.NUMBER_AND_PERSON, tuple(by_number))
    found = tuple({each.line.line_id: each for each in (*by_number, *by_person)}.values())
    if len(found) > 1:
        return Match(Agreement.SEVERAL, found, ("several-lines",))
    if by_number:
        printed = by_number[0].line.printed
        return Match(Agreement.NUMBER_ONLY, found, tuple(_differences(row, printed, keys)))
    reason = "number-unknown" if number else "number-missing"
    if not found:
        return Match(Agreement.NONE, (), (reason,))
    if number and number.lstrip("0") == keys.number(_number_of(found[0])).lstrip("0"):
        # Spreadsheets drop the zeros before what they take for a number.
        reason = "number-lost-zeros"
    return Match(Agreement.PERSON_ONLY, found, (reason,))


def same_name(row: ListedRow, printed: PrintedLine, keys: Keys) -> bool:
    """Whether the row's name is the line's, as far as the two say the same things.

    First and last name must be there and agree; a middle name, an initial or a suffix that
    only one of them has is no difference.
    """
    last = keys.name(row.last_name)
    if not last or not _same_last(row, last, printed, keys):
        return False
    suffix, printed_suffix = keys.suffix(row.suffix), keys.suffix(printed.suffix)
    if suffix and printed_suffix and suffix != printed_suffix:
        return False
    return _same_given(row, printed, keys)


def _same_last(row: ListedRow, last: str, printed: PrintedLine, keys: Keys) -> bool:
    if last == keys.name(printed.last_name):
        return True
    with_suffix = f"{printed.last_name} {printed.suffix}"
    return bool(printed.suffix) and not row.suffix and last == keys.name(with_suffix)


def _same_given(row: ListedRow, printed: PrintedLine, keys: Keys) -> bool:
    first, middle = keys.name(row.first_name), keys.name(row.middle_name)
    printed_first, printed_middle = keys.name(printed.first_name), keys.name(printed.middle_name)
    if not first or not printed_first:
        return first == printed_first
    if first == printed_first:
        return _same_middle(middle, printed_middle)
    if first + middle == printed_first + printed_middle:
        return True  # `Mary Ann` in one column or in two
    head, _, rest = row.first_name.strip().partition(" ")
    if middle or keys.name(head) != printed_first:
        return False
    return _same_middle(keys.name(rest), printed_middle)


def _same_middle(middle: str, printed: str) -> bool:
    shorter, longer = sorted((middle, printed), key=len)
    return not shorter or shorter == longer or (len(shorter) == 1 and longer[0] == shorter)


def _differences(row: ListedRow, printed: PrintedLine, keys: Keys) -> Iterable[str]:
    if not row.last_name or (printed.first_name and not row.first_name):
        yield "name-missing"
    elif not same_name(row, printed, keys):
        yield "name-differs"
    if row.birth_date is None:
        yield "birth-date-missing"
    elif row.birth_date != printed.birth_date:
        yield "birth-date-swapped" if _is_swapped(row.birth_date, printed) else "birth-date-differs"


def _is_swapped(born: date, printed: PrintedLine) -> bool:
    other = printed.birth_date
    return (born.year, born.month, born.day) == (other.year, other.day, other.month)


def _is_person(row: ListedRow, printed: PrintedLine, keys: Keys) -> bool:
    return row.birth_date == printed.birth_date and same_name(row, printed, keys)


def _number_of(candidate: Candidate) -> str:
    return candidate.line.printed.voter_number


def _has_number(candidate: Candidate, number: str, keys: Keys) -> bool:
    return keys.number(_number_of(candidate)) == number


class Lookup:
    """The lines that any row of one list could mean, found in one pass over the register."""

    def __init__(self, rows: Iterable[ListedRow], lines: Iterable[Line], keys: Keys) -> None:
        self._keys = keys
        self._by_number: defaultdict[str, list[Line]] = defaultdict(list)
        self._by_date: defaultdict[date, list[Line]] = defaultdict(list)
        listed = list(rows)
        numbers = {keys.number(row.voter_number) for row in listed} - {""}
        dates = {row.birth_date for row in listed if row.birth_date is not None}
        for line in lines:
            number = keys.number(line.printed.voter_number)
            if number in numbers:
                self._by_number[number].append(line)
            if line.printed.birth_date in dates:
                self._by_date[line.printed.birth_date].append(line)

    def lines(self, row: ListedRow) -> tuple[Line, ...]:
        """Lines with the row's number, then lines with its birth date whose name agrees."""
        number = self._keys.number(row.voter_number)
        by_number = self._by_number.get(number, []) if number else []
        born = row.birth_date
        by_date = self._by_date.get(born, []) if born is not None else []
        by_person = [line for line in by_date if same_name(row, line.printed, self._keys)]
        known = {line.line_id for line in by_number}
        return (*by_number, *(line for line in by_person if line.line_id not in known))
