"""The columns of a register as arrays: names, short keys, numbers, and who bears what.

Lines are known by their position, words by their identifier in a `Vocabulary`. A
column can be taken at some positions only: what is not considered costs nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Ids = NDArray[np.int32]
Positions = NDArray[np.int32]


def at_once(starts: NDArray[np.int64], stops: NDArray[np.int64]) -> NDArray[np.int64]:
    """The numbers of all the ranges, one range after the other."""
    lengths = stops - starts
    ends = np.cumsum(lengths)
    total = int(ends[-1]) if len(ends) else 0
    return np.repeat(starts - ends + lengths, lengths) + np.arange(total)


class Postings:
    """For each identifier the lines that bear it: one array, cut by offsets."""

    def __init__(self, ids: Ids, positions: Positions, id_count: int) -> None:
        order = np.argsort(ids, kind="stable")
        self._positions = positions[order]
        self._offsets = np.searchsorted(ids[order], np.arange(id_count + 1)).astype(np.int64)

    def of(self, ids: NDArray[np.intp]) -> Positions:
        """The positions of the lines that bear any of `ids`; a line may come twice."""
        return self._positions[at_once(self._offsets[ids], self._offsets[ids + 1])]

    def of_range(self, low: int, high: int) -> Positions:
        """The same for neighbouring identifiers, such as the words with one start."""
        return self._positions[self._offsets[low] : self._offsets[high]]


@dataclass(frozen=True, slots=True)
class NamesHere:
    """A name column at the positions considered.

    `whole` has the whole glued name of each line, `word_counts` in how many words it is
    printed. Few lines have further forms: `parted` are their places, `parts` a row of
    forms for each.
    """

    whole: Ids
    word_counts: NDArray[np.uint8]
    parted: NDArray[np.intp]
    parts: Ids

    def best_part(self, kinds: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """For each line the highest of `kinds` among its further forms, 0 where it has none."""
        best = np.zeros(len(self.whole), dtype=np.uint8)
        if len(self.parted):
            best[self.parted] = kinds[self.parts].max(axis=1)
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


class NameColumn:
    """One name field of all lines, as identifiers; few lines have further forms."""

    def __init__(
        self, codes: Ids, forms: Sequence[Sequence[int]], word_counts: Sequence[int], none: int
    ) -> None:
        """`codes` gives each line its distinct name; `forms` and `word_counts` are by name."""
        whole = np.array([some[0] if some else none for some in forms], dtype=np.int32)
        self._none = none
        self._whole = whole[codes]
        self._word_counts = np.minimum(word_counts, 255).astype(np.uint8)[codes]
        self._row, self._rows = _rows_of(codes, forms, none)
        self.postings = self._postings(codes, forms)

    def at(self, positions: Positions | None) -> NamesHere:
        """The column at `positions`, at all of them for None."""
        if positions is None:
            whole, counts, rows = self._whole, self._word_counts, self._row
        else:
            whole, counts = self._whole[positions], self._word_counts[positions]
            rows = self._row[positions]
        parted = np.flatnonzero(rows)
        return NamesHere(whole, counts, parted, self._rows[rows[parted]])

    def whole_at(self, positions: Positions) -> Ids:
        """The whole names at `positions` and nothing else."""
        return self._whole[positions]

    def _postings(self, codes: Ids, forms: Sequence[Sequence[int]]) -> Postings:
        lengths = np.array([len(some) for some in forms], dtype=np.int64)
        starts = np.concatenate([[0], np.cumsum(lengths)])
        flat = np.array([one for some in forms for one in some], dtype=np.int32)
        counts = lengths[codes]
        ids = flat[at_once(starts[codes], starts[codes] + counts)]
        positions = np.repeat(np.arange(len(codes), dtype=np.int32), counts)
        return Postings(ids, positions, self._none + 1)


def _rows_of(
    codes: Ids, forms: Sequence[Sequence[int]], none: int
) -> tuple[NDArray[np.int32], Ids]:
    """For each line its row of further forms; row 0, for most, has none."""
    most = max((len(some) - 1 for some in forms), default=0)
    rows = [[none] * most]
    row_of = np.zeros(len(forms), dtype=np.int32)
    for at, some in enumerate(forms):
        if len(some) > 1:
            row_of[at] = len(rows)
            rows.append([*some[1:], *[none] * (most - len(some) + 1)])
    return row_of[codes], np.array(rows, dtype=np.int32).reshape(len(rows), most)


class KeyColumn:
    """A short key of each line, compared letter by letter: a suffix, a house number."""

    def __init__(self, keys: Sequence[str]) -> None:
        self._words = sorted(set(keys) - {""})
        known = {word: at for at, word in enumerate(self._words)}
        known[""] = len(self._words)
        self._ids = np.array([known[key] for key in keys], dtype=np.int32)
        everybody = np.arange(len(keys), dtype=np.int32)
        self.postings = Postings(self._ids, everybody, len(self._words) + 1)

    def at(self, positions: Positions | None) -> Ids:
        return self._ids if positions is None else self._ids[positions]

    def key_of(self, at: int) -> str:
        """The key of the line at position `at`, empty where it has none."""
        one = int(self._ids[at])
        return self._words[one] if one < len(self._words) else ""

    def same(self, key: str) -> tuple[int, int]:
        """The identifiers equal to `key`: one, or an empty range."""
        at = bisect_left(self._words, key)
        return at, at + (at < len(self._words) and self._words[at] == key)

    def starting(self, start: str) -> tuple[int, int]:
        """The identifiers of the keys that begin with `start`."""
        return bisect_left(self._words, start), bisect_left(self._words, start + "\x7f")


class Numbers:
    """Voter numbers, by which a line is found alone, and the ways to begin reading them."""

    def __init__(self, numbers: Sequence[str], starts: Iterable[tuple[str, int]]) -> None:
        """`starts` are further beginnings: without letters, without zeros."""
        self._numbers = np.array([number.encode() for number in numbers], dtype=np.bytes_)
        self._order = np.argsort(self._numbers, kind="stable").astype(np.int32)
        self._sorted = self._numbers[self._order]
        others = sorted(starts)
        self._others = [start for start, _ in others]
        self._others_at = [at for _, at in others]

    def number_of(self, at: int) -> str:
        """The number of the line at position `at`."""
        return bytes(self._numbers[at]).decode()

    def same(self, number: str) -> Positions:
        """The positions of the lines with this number."""
        low, high = self._place(number, "left"), self._place(number, "right")
        return self._order[low:high]

    def starting(self, start: str) -> Positions:
        """The positions of the lines with a number that begins so; a line may come twice."""
        low, high = self._place(start, "left"), self._place(start + "\x7f", "left")
        first, last = bisect_left(self._others, start), bisect_left(self._others, start + "\x7f")
        others = np.array(self._others_at[first:last], dtype=np.int32)
        return np.concatenate([self._order[low:high], others])

    def _place(self, number: str, side: Literal["left", "right"]) -> int:
        """Where `number` stands among the sorted ones.

        A key of another width would copy all numbers each time; a longer one is none of
        them, and its place is after the number that it was cut to.
        """
        width = self._sorted.dtype.itemsize
        if len(number) > width:
            number, side = number[:width], "right"
        key = np.array([number.encode()], dtype=self._sorted.dtype)
        return int(np.searchsorted(self._sorted, key, side)[0])
