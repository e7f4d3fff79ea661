"""The starts of longer words, to find the ones a slip away from what is being typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Self

import numpy as np

from app.matching.arrays import Arrays, Ids, under, within
from app.matching.slips import Lengths, Letters, SlipIndex, count_slips

# A slip is looked for in starts of five letters and more, of which one may be missing. A
# longer start is hardly ever typed: by then the name stands out.
SHORTEST_START_OFF = 5
START_LENGTHS = range(SHORTEST_START_OFF - 1, 11)


class StartIndex:
    """The starts, of some lengths, of all longer words, by what is left when a letter is struck."""

    def __init__(
        self, words: Sequence[str], ranges: Ids, lengths: Lengths, slips: SlipIndex
    ) -> None:
        """Each start is as many letters of the first word of its range."""
        self._words = words
        self._ranges, self._lengths = ranges, lengths
        self._slips = slips

    @classmethod
    def made_of(cls, words: Sequence[str], letters: Letters, lengths: Lengths) -> Self:
        # Sorted words with one start are neighbours: a start is a range of identifiers.
        found = []
        for length in START_LENGTHS:
            longer = np.flatnonzero(lengths > length).astype(np.int32)
            starts = letters[longer, :length]
            is_first = np.ones(len(longer), dtype=np.bool_)
            is_first[1:] = (starts[1:] != starts[:-1]).any(axis=1)
            is_last = np.ones(len(longer), dtype=np.bool_)
            is_last[:-1] = is_first[1:]
            ends = np.full(is_first.sum(), length, dtype=np.int32)
            found.append(np.column_stack([longer[is_first], longer[is_last] + 1, ends]))
        every = np.concatenate(found)
        ranges, of_starts = every[:, :2], every[:, 2].astype(np.int64)
        slips = SlipIndex.made_of(letters[ranges[:, 0]], of_starts, most=1)
        return cls(words, ranges, of_starts, slips)

    @classmethod
    def from_arrays(cls, words: Sequence[str], arrays: Arrays) -> Self:
        slips = SlipIndex.from_arrays(within("slips", arrays))
        return cls(words, arrays["ranges"], arrays["lengths"], slips)

    def arrays(self) -> Arrays:
        return {
            "ranges": self._ranges,
            "lengths": self._lengths,
            **under("slips", self._slips.arrays()),
        }

    def near(self, word: str) -> list[tuple[int, int]]:
        """Ranges of the words with a start at most one slip from `word`."""
        ids = self._slips.near(word, 1)
        firsts, lengths = self._ranges[ids, 0].tolist(), self._lengths[ids].tolist()
        starts = [self._words[at][:length] for at, length in zip(firsts, lengths, strict=True)]
        hits = ids[count_slips(word, starts) <= 1]
        return [(low, high) for low, high in self._ranges[hits].tolist()]
