"""A register as seen at the lines that are worth scoring."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import BirthDates, Days
from app.matching.columns import Ids, NamesHere, Positions
from app.matching.keys import KeyColumn
from app.matching.likeness import Kinds, Likeness
from app.matching.reading import Field
from app.matching.register import Register


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
    def days(self) -> Days:
        return self.register.days[self.positions]

    @cached_property
    def birth_dates(self) -> BirthDates:
        return BirthDates(self.days)

    @property
    def houses(self) -> Ids:
        """Equal numbers for equal house numbers."""
        return self.register.houses.at(self._taken)

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

    def of_suffix(self, suffix: str) -> Kinds | None:
        """SAME for the lines with this suffix; None where there are none."""
        return self._of_key(self.register.suffixes, suffix, is_start=False)

    def of_house(self, house: str) -> Kinds | None:
        """SAME for the house number itself, STARTS for longer ones."""
        return self._of_key(self.register.houses, house, is_start=True)

    def of_number(self, number: str, *, is_start: bool) -> Kinds | None:
        """SAME for the voter number itself; with `is_start` STARTS for longer ones."""
        numbers = self.register.numbers
        starting = self._here(numbers.starting(number)) if is_start else ()
        same = self._here(numbers.same(number))
        if not len(starting) and not len(same):
            return None
        kinds = np.zeros(len(self), dtype=np.uint8)
        kinds[starting], kinds[same] = Likeness.STARTS, Likeness.SAME
        return kinds

    def _of_key(self, column: KeyColumn, key: str, *, is_start: bool) -> Kinds | None:
        low, high = column.same(key)
        first, last = column.starting(key) if is_start else (low, high)
        if first == last:
            return None
        ids = column.at(self._taken)
        kinds = np.zeros(len(self), dtype=np.uint8)
        kinds[(ids >= first) & (ids < last)] = Likeness.STARTS
        kinds[(ids >= low) & (ids < high)] = Likeness.SAME
        return kinds if kinds.any() else None

    def _here(self, positions: Positions) -> NDArray[np.intp]:
        """The places, among the lines considered, of these positions of the register."""
        at = np.searchsorted(self.positions, positions)
        at = np.minimum(at, len(self) - 1)
        here: NDArray[np.intp] = at[self.positions[at] == positions]
        return here
