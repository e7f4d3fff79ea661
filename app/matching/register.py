"""The lines of the register as columns, in the order in which a register is printed.

A `Register` never changes. Because lines stand in print order here, a stable sort by
score leaves equals in that order. Every distinct name is folded once, however many bear
it: a million lines have few names.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import chain
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from app.matching.arrays import Arrays, under, within
from app.matching.birth import Days
from app.matching.columns import (
    Ids,
    NameColumn,
    NameTable,
    Positions,
    Texts,
    at_once,
)
from app.matching.gathering import Forms, Gathered, street_words
from app.matching.keys import KeyColumn, Numbers
from app.matching.likeness import Nicknames, Vocabulary
from app.matching.names import (
    first_name_forms,
    fold_suffix,
    glue_each,
    last_name_forms,
    middle_name_forms,
)
from app.rules.line import Line


class _Part(Protocol):
    def arrays(self) -> Arrays: ...


class Register:
    """All lines, ready to be compared with one typed text after another."""

    def __init__(self, lines: Iterable[Line] = (), *, kept: Arrays | None = None) -> None:
        """Of `lines`, which may be a stream (none is held), or of what `arrays` gave."""
        if kept is None:
            self._gather(Gathered(lines))
        else:
            self._take(kept)
        self._days_sorted = self.days[self._by_day]

    def _gather(self, lines: Gathered) -> None:
        last = Forms(lines.last.texts, last_name_forms)
        first = Forms(lines.first.texts, first_name_forms)
        middle = Forms(lines.middle.texts, middle_name_forms)
        self.vocabulary = Vocabulary(chain(last.words, first.words, middle.words))
        self.nicknames = Nicknames.made_of(self.vocabulary, sorted(set(first.words)))
        tables = (_table(forms, self.vocabulary) for forms in (last, first, middle))
        self._last_names, self._first_names, self._middle_names = tables
        suffixes = [fold_suffix(suffix) for suffix in lines.suffix.texts]
        by_number = np.argsort(lines.numbers, kind="stable")
        order = self._print_order(lines, suffixes, by_number)
        self.line_ids: Texts = lines.line_ids[order]
        self.last = NameColumn.made_of(lines.last.codes()[order], self._last_names)
        self.maiden = NameColumn.made_of(lines.maiden.codes()[order], self._last_names)
        self.first = NameColumn.made_of(lines.first.codes()[order], self._first_names)
        self.middle = NameColumn.made_of(lines.middle.codes()[order], self._middle_names)
        self.suffixes = KeyColumn.made_of(lines.suffix.codes()[order], suffixes)
        self.houses = KeyColumn.made_of(lines.house.codes()[order], glue_each(lines.house.texts))
        place = np.empty(len(order), dtype=np.int32)
        place[order] = np.arange(len(order), dtype=np.int32)
        self.numbers = Numbers.made_of(lines.numbers[order], place[by_number])
        street = Forms(lines.street.texts, street_words)
        self.streets = Vocabulary(street.words)
        self._street_names = _table(street, self.streets)
        self.street = NameColumn.made_of(lines.street.codes()[order], self._street_names)
        self.days: Days = lines.days[order]
        self._by_day = np.argsort(self.days, kind="stable").astype(np.int32)

    def _print_order(
        self, lines: Gathered, suffixes: Sequence[str], by_number: NDArray[np.intp]
    ) -> Positions:
        """The positions in print order: last name, suffix, first, middle, number."""
        known = {suffix: rank for rank, suffix in enumerate(sorted(set(suffixes)))}
        ranks = np.array([known[suffix] for suffix in suffixes], dtype=np.int32)
        keys = (
            _rank(self._middle_names.forms())[lines.middle.codes()],
            self._first_names.forms()[:, 0][lines.first.codes()],
            ranks[lines.suffix.codes()],
            self._last_names.forms()[:, 0][lines.last.codes()],
        )
        order: Positions = by_number[np.lexsort([key[by_number] for key in keys])].astype(np.int32)
        return order

    def _take(self, kept: Arrays) -> None:
        def part(name: str) -> Arrays:
            return within(name, kept)

        self.vocabulary = Vocabulary(kept=part("vocabulary"))
        self.nicknames = Nicknames.from_arrays(part("nicknames"))
        self._last_names = NameTable.from_arrays(part("last_names"))
        self._first_names = NameTable.from_arrays(part("first_names"))
        self._middle_names = NameTable.from_arrays(part("middle_names"))
        self.line_ids = kept["line_ids"]
        self.last = NameColumn.from_arrays(part("last"), self._last_names)
        self.maiden = NameColumn.from_arrays(part("maiden"), self._last_names)
        self.first = NameColumn.from_arrays(part("first"), self._first_names)
        self.middle = NameColumn.from_arrays(part("middle"), self._middle_names)
        self.suffixes = KeyColumn.from_arrays(part("suffixes"))
        self.houses = KeyColumn.from_arrays(part("houses"))
        self.numbers = Numbers.from_arrays(part("numbers"))
        self.streets = Vocabulary(kept=part("streets"))
        self._street_names = NameTable.from_arrays(part("street_names"))
        self.street = NameColumn.from_arrays(part("street"), self._street_names)
        self.days = kept["days"]
        self._by_day = kept["by_day"]

    def arrays(self) -> Arrays:
        """All there is, to make the same register of later without its lines."""
        kept = {"line_ids": self.line_ids, "days": self.days, "by_day": self._by_day}
        parts: dict[str, _Part] = {
            "vocabulary": self.vocabulary,
            "nicknames": self.nicknames,
            "last_names": self._last_names,
            "first_names": self._first_names,
            "middle_names": self._middle_names,
            "last": self.last,
            "maiden": self.maiden,
            "first": self.first,
            "middle": self.middle,
            "suffixes": self.suffixes,
            "houses": self.houses,
            "numbers": self.numbers,
            "streets": self.streets,
            "street_names": self._street_names,
            "street": self.street,
        }
        for name, one in parts.items():
            kept |= under(name, one.arrays())
        return kept

    def __len__(self) -> int:
        return len(self.line_ids)

    def commonness(self, name: str) -> float:
        """How common a last name is: 0 for one that nobody has, 1 for everybody's."""
        one = self.vocabulary.find(name)
        count = 0 if one is None else len(self.last.postings.of_range(one, one + 1))
        return float(np.log1p(count) / np.log1p(max(len(self), 1)))

    def with_last_names(self, low: int, high: int) -> tuple[int, int]:
        """From which to which position the last name is a word from `low` to `high`.

        The lines stand in the order of their last names.
        """
        everybody = range(len(self))
        start = bisect_left(everybody, low, key=self._last_name_at)
        return start, bisect_left(everybody, high, key=self._last_name_at)

    def _last_name_at(self, position: int) -> int:
        one = self.last.whole_of_line(position)
        return -1 if one == self.vocabulary.none else one

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

    def born_in(self, month: int, day: int | None) -> Positions:
        """The positions of the lines born in a month, or on one day of it, of any year."""
        low, high = (month * 100 + (day or 0), month * 100 + (99 if day is None else day))
        days, order = self._by_day_of_year
        start, stop = np.searchsorted(days, np.array([low, high + 1], dtype=np.int32))
        return order[start:stop]

    @cached_property
    def _by_day_of_year(self) -> tuple[Days, Positions]:
        """Month and day of all lines, sorted, with their positions."""
        month_day = self.days % 10_000
        order = np.argsort(month_day, kind="stable").astype(np.int32)
        return month_day[order], order

    def _born(self, first: Days, last: Days) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Ranges of the lines by day. Other types than Days would copy all days each time."""
        low = np.searchsorted(self._days_sorted, first)
        return low, np.searchsorted(self._days_sorted, last, side="right")


def _table(forms: Forms, vocabulary: Vocabulary) -> NameTable:
    ids = np.array(vocabulary.ids_of(forms.words), dtype=np.int32)
    return NameTable.made_of(ids, forms.counts, forms.word_counts, vocabulary.none)


def _rank(rows: Ids) -> Ids:
    """The place of each row among the distinct ones, sorted from the left."""
    order = np.lexsort(rows.T[::-1])
    is_new = np.zeros(len(rows), dtype=np.bool_)
    is_new[1:] = (rows[order[1:]] != rows[order[:-1]]).any(axis=1)
    ranks: Ids = np.empty(len(rows), dtype=np.int32)
    ranks[order] = np.cumsum(is_new, dtype=np.int32)
    return ranks
