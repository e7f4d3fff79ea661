"""The columns of a register as arrays: names, and who bears what.

Lines are known by their position, words by their identifier in a `Vocabulary`. A
column can be taken at some positions only: what is not considered costs nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Self

import numpy as np
from numpy.typing import NDArray

from app.matching.arrays import Arrays, under, within

Ids = NDArray[np.int32]
Positions = NDArray[np.int32]
Texts = NDArray[np.bytes_]
# Identifiers that fit two bytes are sorted many times faster.
_SHORT_IDS = 1 << 16


def at_once(starts: NDArray[np.int64], stops: NDArray[np.int64]) -> NDArray[np.int64]:
    """The numbers of all the ranges, one range after the other."""
    lengths = stops - starts
    ends = lengths.cumsum()
    total = int(ends[-1]) if len(ends) else 0
    numbers: NDArray[np.int64] = (starts - ends + lengths).repeat(lengths) + np.arange(total)
    return numbers


def distinct(some: Sequence[NDArray[np.int32]]) -> NDArray[np.int32]:
    """All numbers of these arrays once, ascending (`np.unique` is much slower)."""
    every = np.concatenate(some)
    every.sort()
    is_new = np.ones(len(every), dtype=np.bool_)
    np.not_equal(every[1:], every[:-1], out=is_new[1:])
    return every[is_new]


class Postings:
    """For each identifier the lines that bear it: one array, cut by offsets."""

    def __init__(self, positions: Positions, offsets: NDArray[np.int64]) -> None:
        self._positions = positions
        self._offsets = offsets

    @classmethod
    def made_of(cls, ids: Ids, positions: Positions, id_count: int) -> Self:
        """Which of `ids` stands at which of `positions`, these ascending."""
        offsets = np.zeros(id_count + 1, dtype=np.int64)
        np.cumsum(np.bincount(ids, minlength=id_count), out=offsets[1:])
        if id_count <= _SHORT_IDS:
            return cls(positions[np.argsort(ids.astype(np.uint16), kind="stable")], offsets)
        pairs = ids.astype(np.uint64) << np.uint64(32) | positions.astype(np.uint64)
        pairs.sort()
        return cls((pairs & np.uint64(0xFFFFFFFF)).astype(np.int32), offsets)

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        return cls(arrays["positions"], arrays["offsets"])

    def arrays(self) -> Arrays:
        return {"positions": self._positions, "offsets": self._offsets}

    def of(self, ids: NDArray[np.intp]) -> Positions:
        """The positions of the lines that bear any of `ids`; a line may come twice."""
        return self._positions[at_once(self._offsets[ids], self._offsets[ids + 1])]

    def of_counted(self, ids: NDArray[np.intp]) -> tuple[Positions, NDArray[np.int64]]:
        """The positions of the lines that bear `ids`, in their order, and how many bear each."""
        starts, stops = self._offsets[ids], self._offsets[ids + 1]
        return self._positions[at_once(starts, stops)], stops - starts

    def of_range(self, low: int, high: int) -> Positions:
        """The same for neighbouring identifiers, such as the words with one start."""
        return self._positions[self._offsets[low] : self._offsets[high]]


class NamesHere:
    """A name column at the positions considered.

    `whole` has the whole glued name of each line. Few lines have further forms: `parted` are
    their places, `parts` a row of forms for each.
    """

    def __init__(self, names: NameTable, codes: Ids) -> None:
        self._names, self._codes = names, codes
        self.whole: Ids = names.whole[codes]
        rows = names.row[codes]
        self.parted = np.flatnonzero(rows)
        self.parts: Ids = names.rows[rows[self.parted]]

    @property
    def word_counts(self) -> NDArray[np.uint8]:
        """In how many words the name of each line is printed."""
        return self._names.word_counts[self._codes]

    def parts_like(self, kinds: NDArray[np.uint8]) -> tuple[NDArray[np.intp], NDArray[np.uint8]]:
        """The places of the lines with a further form that `kinds` holds more than 0 for,
        and the highest for each.
        """
        if not len(self.parted):
            return self.parted, np.zeros(0, dtype=np.uint8)
        best = kinds[self.parts].max(axis=1)
        hits = np.flatnonzero(best)
        return self.parted[hits], best[hits]

    def best_like(self, kinds: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """For each line the highest of `kinds` among all forms of its name."""
        best = kinds[self.whole]
        places, of_parts = self.parts_like(kinds)
        if len(places):
            best[places] = np.maximum(best[places], of_parts)
        return best

    def has_part(self, one: int) -> NDArray[np.bool_]:
        """Whether `one` is among the further forms of each line."""
        has = np.zeros(len(self.whole), dtype=np.bool_)
        has[self.parted] = (self.parts == one).any(axis=1)
        return has

    def parts_at(self, at: int) -> list[int]:
        """The further forms of the line at place `at`."""
        place = int(np.searchsorted(self.parted, at))
        is_here = place < len(self.parted) and self.parted[place] == at
        return [int(one) for one in self.parts[place]] if is_here else []


class NameTable:
    """The distinct names of a column, by code: identifiers of their forms, the whole first.

    Few names have further forms: they have a row of them, of which row 0 has none.
    """

    def __init__(
        self, whole: Ids, word_counts: NDArray[np.uint8], row: Ids, rows: Ids, none: int
    ) -> None:
        self.whole, self.word_counts, self.row, self.rows = whole, word_counts, row, rows
        self.none = none

    @classmethod
    def made_of(
        cls, forms: Ids, counts: NDArray[np.int64], word_counts: NDArray[np.uint8], none: int
    ) -> Self:
        """`forms` one name after the other, `counts` how many each has."""
        starts = np.cumsum(counts) - counts
        whole = np.full(len(counts), none, dtype=np.int32)
        whole[counts > 0] = forms[starts[counts > 0]]
        parted = np.flatnonzero(counts > 1)
        further = counts[parted] - 1
        row = np.zeros(len(counts), dtype=np.int32)
        row[parted] = np.arange(1, len(parted) + 1, dtype=np.int32)
        rows = np.full((len(parted) + 1, int(further.max(initial=0))), none, dtype=np.int32)
        places = at_once(np.zeros(len(parted), dtype=np.int64), further)
        rows[np.repeat(row[parted], further), places] = forms[
            at_once(starts[parted] + 1, starts[parted] + counts[parted])
        ]
        return cls(whole, word_counts, row, rows, none)

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        none = int(arrays["none"][0])
        return cls(arrays["whole"], arrays["word_counts"], arrays["row"], arrays["rows"], none)

    def arrays(self) -> Arrays:
        return {
            "whole": self.whole,
            "word_counts": self.word_counts,
            "row": self.row,
            "rows": self.rows,
            "none": np.array([self.none], dtype=np.int32),
        }

    def forms(self) -> Ids:
        """A row for each name of all its forms in their order, -1 after the last.

        Words are sorted, so that these rows sort as the names do; no name comes first.
        """
        every = np.column_stack([self.whole, self.rows[self.row]])
        return np.where(every == self.none, np.int32(-1), every)


class NameColumn:
    """One name field of all lines, as codes of a table of names."""

    def __init__(self, codes: Ids, names: NameTable, postings: Postings) -> None:
        self._codes = codes
        self._names = names
        self.postings = postings

    @classmethod
    def made_of(cls, codes: Ids, names: NameTable) -> Self:
        """`codes` gives each line its distinct name."""
        forms = names.forms()
        counts = (forms >= 0).sum(axis=1)
        flat, starts = forms[forms >= 0], np.cumsum(counts) - counts
        counts, starts = counts[codes], starts[codes]
        ids = flat[at_once(starts, starts + counts)]
        positions = np.repeat(np.arange(len(codes), dtype=np.int32), counts)
        return cls(codes, names, Postings.made_of(ids, positions, names.none + 1))

    @classmethod
    def from_arrays(cls, arrays: Arrays, names: NameTable) -> Self:
        return cls(arrays["codes"], names, Postings.from_arrays(within("postings", arrays)))

    def arrays(self) -> Arrays:
        """All but the table, which two columns may share."""
        return {"codes": self._codes, **under("postings", self.postings.arrays())}

    def at(self, positions: Positions | None) -> NamesHere:
        """The column at `positions`, at all of them for None."""
        codes = self._codes if positions is None else self._codes[positions]
        return NamesHere(self._names, codes)

    def whole_of_line(self, position: int) -> int:
        """The whole name of the line at one position."""
        return int(self._names.whole[self._codes[position]])
