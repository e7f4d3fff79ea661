"""The lines of the register as columns, in the order in which a register is printed.

A `Register` never changes. Because lines stand in print order here, a stable sort by
score leaves equals in that order. Every distinct name is folded once, however many bear
it: a million lines have few names. A `Shortlist` is a register as seen at the lines
that are worth scoring.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import BirthDates, Days, day_number
from app.matching.columns import Ids, KeyColumn, NameColumn, NamesHere, Numbers, Positions, at_once
from app.matching.likeness import Kinds, Likeness, Nicknames, Vocabulary
from app.matching.names import (
    first_name_forms,
    fold,
    fold_street_word,
    fold_suffix,
    glue,
    last_name_forms,
    middle_name_forms,
)
from app.matching.reading import Field
from app.rules.line import Line

Forms = Callable[[str], tuple[str, ...]]


class Register:
    """All lines, ready to be compared with one typed text after another."""

    def __init__(self, lines: Iterable[Line]) -> None:
        lines = list(lines)
        printed = [line.printed for line in lines]
        last = _Distinct([one.last_name for one in printed], last_name_forms)
        first = _Distinct([one.first_name for one in printed], first_name_forms)
        middle = _Distinct([one.middle_name for one in printed], middle_name_forms)
        maiden = _Distinct([one.mothers_maiden_name for one in printed], last_name_forms)
        named = (last, first, middle, maiden)
        self.vocabulary = Vocabulary(form for names in named for form in names.all_forms())
        suffixes = _folded([one.suffix for one in printed], fold_suffix)
        numbers = _folded([one.voter_number for one in printed], glue)
        order = _print_order(self.vocabulary, last, first, middle, suffixes, numbers)
        places = order.tolist()
        self.line_ids = np.array([lines[at].line_id.encode() for at in places], dtype=np.bytes_)
        columns = (names.column(self.vocabulary, order) for names in named)
        self.last, self.first, self.middle, self.maiden = columns
        self.nicknames = Nicknames(self.vocabulary, first.all_forms())
        self.suffixes = KeyColumn([suffixes[at] for at in places])
        self.numbers = _numbers([numbers[at] for at in places])
        self._take_addresses([printed[at].street_address for at in places])
        self.days: Days = np.array([_day(printed[at].birth_date) for at in places], dtype=np.int32)
        self._by_day = np.argsort(self.days, kind="stable").astype(np.int32)
        self._days_sorted = self.days[self._by_day]

    def __len__(self) -> int:
        return len(self.line_ids)

    def commonness(self, name: str) -> float:
        """How common a last name is: 0 for one that nobody has, 1 for everybody's."""
        one = self.vocabulary.find(name)
        count = 0 if one is None else len(self.last.postings.of_range(one, one + 1))
        return float(np.log1p(count) / np.log1p(max(len(self), 1)))

    def find_line(self, line_id: str) -> int | None:
        """The position of a line, None where it is not here."""
        found = np.flatnonzero(self.line_ids == line_id.encode())
        return int(found[0]) if len(found) else None

    def print_key(self, at: int) -> tuple[str, ...]:
        """What sorts the line at position `at` among lines of other registers."""
        word = self.vocabulary.word
        here = np.array([at])
        last, first = (int(c.at(here).whole[0]) for c in (self.last, self.first))
        middle = self.middle.at(here)
        middles = [int(middle.whole[0]), *middle.parts_at(0)]
        return (
            word(last),
            self.suffixes.key_of(at),
            word(first),
            " ".join(map(word, middles)).strip(),
            self.numbers.number_of(at),
        )

    def born_between(self, first: int, last: int) -> Positions:
        """The positions of the lines born from day number `first` to `last`, both included."""
        low, high = self._born(np.array([first], dtype=np.int32), np.array([last], dtype=np.int32))
        return self._by_day[int(low[0]) : int(high[0])]

    def born_on(self, days: Sequence[int]) -> Positions:
        """The positions of the lines born on any of these day numbers."""
        wanted = np.array(days, dtype=np.int32)
        return self._by_day[at_once(*self._born(wanted, wanted))]

    def _born(self, first: Days, last: Days) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Ranges of the lines by day. Other types than Days would copy all days each time."""
        low = np.searchsorted(self._days_sorted, first)
        return low, np.searchsorted(self._days_sorted, last, side="right")

    def _take_addresses(self, addresses: Sequence[str]) -> None:
        houses, streets = [], []
        for address in addresses:
            house, _, street = address.partition(" ")
            if not house[:1].isdigit():
                house, street = "", address
            houses.append(house)
            streets.append(street)
        self.houses = KeyColumn(_folded(houses, glue))
        distinct = _Distinct(streets, _street_words)
        self.streets = Vocabulary(distinct.all_forms())
        self.street = distinct.column(self.streets, np.arange(len(addresses), dtype=np.int32))


class Shortlist:
    """A register at some positions (ascending; None for all): what `interpret` compares with."""

    def __init__(self, register: Register, positions: Positions | None = None) -> None:
        self.register = register
        self.positions = (
            np.arange(len(register), dtype=np.int32) if positions is None else positions
        )
        self._taken = positions

    def __len__(self) -> int:
        return len(self.positions)

    @cached_property
    def last(self) -> NamesHere:
        return self.register.last.at(self._taken)

    @cached_property
    def first(self) -> NamesHere:
        return self.register.first.at(self._taken)

    @cached_property
    def middle(self) -> NamesHere:
        return self.register.middle.at(self._taken)

    @cached_property
    def maiden(self) -> NamesHere:
        return self.register.maiden.at(self._taken)

    @cached_property
    def street(self) -> NamesHere:
        return self.register.street.at(self._taken)

    @cached_property
    def birth_dates(self) -> BirthDates:
        return BirthDates(self.register.days[self.positions])

    def birth_year(self, at: int) -> int:
        """Of the line at place `at` of those considered."""
        return int(self.register.days[self.positions[at]]) // 10_000

    def first_names(self, at: int) -> list[str]:
        """The folded forms of the first name, of the line at place `at`."""
        ids = [int(self.first.whole[at]), *self.first.parts_at(at)]
        return [name for name in map(self.register.vocabulary.word, ids) if name]

    def name_of(self, field: Field, at: int) -> str:
        """The whole folded name in this field of the line at place `at`."""
        column = {
            Field.LAST: self.last,
            Field.FIRST: self.first,
            Field.MIDDLE: self.middle,
            Field.MAIDEN: self.maiden,
        }[field]
        return self.register.vocabulary.word(int(column.whole[at]))

    def of_suffix(self, suffix: str) -> Kinds:
        return self._of_key(self.register.suffixes, suffix, is_start=False)

    def of_house(self, house: str) -> Kinds:
        return self._of_key(self.register.houses, house, is_start=True)

    def of_number(self, number: str, *, is_start: bool) -> Kinds:
        """SAME for the voter number itself; with `is_start` STARTS for longer ones."""
        numbers = self.register.numbers
        kinds = np.zeros(len(self), dtype=np.uint8)
        if is_start:
            kinds[self._here(numbers.starting(number))] = Likeness.STARTS
        kinds[self._here(numbers.same(number))] = Likeness.SAME
        return kinds

    def _of_key(self, column: KeyColumn, key: str, *, is_start: bool) -> Kinds:
        ids = column.at(self._taken)
        kinds = np.zeros(len(self), dtype=np.uint8)
        if is_start:
            low, high = column.starting(key)
            kinds[(ids >= low) & (ids < high)] = Likeness.STARTS
        low, high = column.same(key)
        kinds[(ids >= low) & (ids < high)] = Likeness.SAME
        return kinds

    def _here(self, positions: Positions) -> NDArray[np.bool_]:
        """Which of the lines considered stand at these positions of the register."""
        here = np.zeros(len(self), dtype=np.bool_)
        at = np.searchsorted(self.positions, positions)
        at = at[at < len(self)]
        here[at] = np.isin(self.positions[at], positions)
        return here


class _Distinct:
    """The distinct texts of a column, their forms, and which of them each line has."""

    def __init__(self, texts: Sequence[str], forms: Forms) -> None:
        known: dict[str, int] = {}
        self.codes = np.array(
            [known.setdefault(text, len(known)) for text in texts], dtype=np.int32
        )
        self._forms = [forms(text) for text in known]
        self._word_counts = [len(fold(text).split()) for text in known]

    def all_forms(self) -> set[str]:
        return {form for some in self._forms for form in some}

    def whole(self, vocabulary: Vocabulary) -> Ids:
        """What sorts the lines by the whole name; no name comes first."""
        wholes = [some[0] if some else "" for some in self._forms]
        ids = np.array(vocabulary.ids_of(wholes), dtype=np.int32)
        return np.where(ids == vocabulary.none, np.int32(-1), ids)[self.codes]

    def rank(self) -> Ids:
        """What sorts the lines by all forms in their order."""
        order = sorted(range(len(self._forms)), key=self._forms.__getitem__)
        rank = np.empty(len(order), dtype=np.int32)
        rank[order] = np.arange(len(order), dtype=np.int32)
        return rank[self.codes]

    def column(self, vocabulary: Vocabulary, order: Ids) -> NameColumn:
        forms = [vocabulary.ids_of(some) for some in self._forms]
        return NameColumn(self.codes[order], forms, self._word_counts, vocabulary.none)


def _print_order(
    vocabulary: Vocabulary,
    last: _Distinct,
    first: _Distinct,
    middle: _Distinct,
    suffixes: Sequence[str],
    numbers: Sequence[str],
) -> Ids:
    """The positions in print order: last name, suffix, first, middle, number."""
    suffix = np.array(suffixes, dtype=np.str_)
    number = np.array([number.encode() for number in numbers], dtype=np.bytes_)
    keys = (number, middle.rank(), first.whole(vocabulary), suffix, last.whole(vocabulary))
    order: Ids = np.lexsort(keys).astype(np.int32)
    return order


def _folded(texts: Sequence[str], folding: Callable[[str], str]) -> list[str]:
    """Each text folded; what is plain already, most numbers, is taken as it is."""
    known: dict[str, str] = {}
    return [
        text if text.isdigit() and text.isascii() else _once(known, text, folding) for text in texts
    ]


def _once(known: dict[str, str], text: str, folding: Callable[[str], str]) -> str:
    folded = known.get(text)
    if folded is None:
        folded = known[text] = folding(text)
    return folded


def _numbers(numbers: Sequence[str]) -> Numbers:
    """Where people may begin to read a number: at its head, after letters, after zeros."""
    starts = [
        (start, at)
        for at, number in enumerate(numbers)
        if number and not "1" <= number[0] <= "9"
        for start in _other_starts(number)
    ]
    return Numbers(numbers, starts)


def _other_starts(number: str) -> set[str]:
    without_letters = re.sub(r"^[a-z]+", "", number)
    return {without_letters, without_letters.lstrip("0")} - {number, ""}


def _street_words(street: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(map(fold_street_word, fold(street).split())))


def _day(birth_date: date) -> int:
    return day_number(birth_date.year, birth_date.month, birth_date.day)
