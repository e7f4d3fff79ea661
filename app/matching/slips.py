"""Finding the words a slip or two away from a typed one, without comparing with all of them.

If two words are `k` slips apart (a letter wrong, missing, extra, or two swapped), then
striking at most `k` letters from each can make them the same. So every way of striking
letters from a word of the vocabulary is kept, as a hash; what was typed is struck in
the same ways and looked up. What comes back is a superset: the caller measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Self

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA
from rapidfuzz.process import cdist

from app.matching.arrays import Arrays, Ids
from app.matching.columns import at_once, distinct

Letters = NDArray[np.uint8]
Lengths = NDArray[np.int64]

# Longer words are few; they come back for every question and are measured.
LONGEST_STRUCK = 20
# From shorter words no second letter is struck: little would be left of them.
SHORTEST_STRUCK_TWICE = 4

# Any odd number will do; a wrong hit costs one comparison and nothing else.
_BASE = 0x9E3779B1
_MASK = 0xFFFFFFFF
_LOWER_BITS = 16
_HEAPS = 1 << (32 - _LOWER_BITS)
_NO_HASHES = np.zeros(0, dtype=np.uint32)
_NO_IDS = np.zeros(0, dtype=np.int32)
_POWERS = tuple(pow(_BASE, at, 1 << 32) for at in range(LONGEST_STRUCK + 1))


class SlipIndex:
    """Words by what is left of them when `most` letters (1 or 2) or fewer are struck.

    A word's identifier is its place. The hashes stand in heaps by their upper half, in no
    order within: what is sorted is two bytes long, which takes a fraction of the time.
    """

    def __init__(
        self, lower: NDArray[np.uint16], ids: Ids, heaps: NDArray[np.int64], long: Ids
    ) -> None:
        self._lower, self._ids, self._heaps, self._long = lower, ids, heaps, long

    @classmethod
    def made_of(cls, letters: Letters, lengths: Lengths, *, most: int) -> Self:
        """`letters` has a row for each word, of `lengths`; see `letters_of`."""
        struck = [
            _struck(letters, ids, length, min(most, 1 if length < SHORTEST_STRUCK_TWICE else 2))
            for length in range(1, LONGEST_STRUCK + 1)
            if len(ids := np.flatnonzero(lengths == length).astype(np.int32))
        ]
        hashes = np.concatenate([_NO_HASHES, *(some for some, _ in struck)])
        ids = np.concatenate([_NO_IDS, *(some for _, some in struck)])
        upper = (hashes >> np.uint32(_LOWER_BITS)).astype(np.uint16)
        order = np.argsort(upper, kind="stable")
        heaps = np.zeros(_HEAPS + 1, dtype=np.int64)
        np.cumsum(np.bincount(upper, minlength=_HEAPS), out=heaps[1:])
        long = np.flatnonzero(lengths > LONGEST_STRUCK).astype(np.int32)
        return cls(hashes.astype(np.uint16)[order], ids[order], heaps, long)

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        return cls(arrays["lower"], arrays["ids"], arrays["heaps"], arrays["long"])

    def arrays(self) -> Arrays:
        return {"lower": self._lower, "ids": self._ids, "heaps": self._heaps, "long": self._long}

    def near(self, word: str, most: int) -> Ids:
        """The identifiers of all words at most `most` slips from `word`, and of some others."""
        if len(word) > LONGEST_STRUCK + most:
            return self._long
        hashes = _hashes(word, most)
        heaps = (hashes >> np.uint64(_LOWER_BITS)).astype(np.intp)
        low, high = self._heaps[heaps], self._heaps[heaps + 1]
        within = at_once(low, high)
        wanted = np.repeat(hashes.astype(np.uint16), high - low)
        found = self._ids[within[self._lower[within] == wanted]]
        return distinct([found, self._long])


def count_slips(word: str, words: Sequence[str]) -> NDArray[np.uint8]:
    """Slips (wrong, missing, extra or swapped letters) from `word`; more than two read three."""
    if not words:
        return np.zeros(0, dtype=np.uint8)
    edits: NDArray[np.uint8] = cdist(
        [word], words, scorer=OSA.distance, score_cutoff=2, dtype=np.uint8
    )[0]
    return edits


def letters_of(words: Sequence[str]) -> tuple[Letters, Lengths]:
    """A row of letters for each folded word, as many as are ever struck, and their lengths."""
    width = LONGEST_STRUCK + 1
    letters = np.array(words, dtype=f"S{width}").view(np.uint8).reshape(len(words), width)
    return letters, np.fromiter(map(len, words), dtype=np.int64, count=len(words))


def _struck(letters: Letters, ids: Ids, length: int, most: int) -> tuple[NDArray[np.uint32], Ids]:
    """A hash and an identifier for everything left of the words `ids`, all of one length.

    Sums from the left, one for each number of places moved, as in `_hashes`.
    """
    columns = letters[ids, :length].T.astype(np.uint32)
    powers = np.array(_POWERS[:length], dtype=np.uint32)[:, np.newaxis]
    sums = np.zeros((most + 1, length + 1, len(ids)), dtype=np.uint32)
    for moved in range(min(most, length - 1) + 1):
        worth = columns[moved:] * powers[: length - moved]
        np.cumsum(worth, axis=0, dtype=np.uint32, out=sums[moved, moved + 1 :])
    left = [sums[0, length:]]
    if length > 1:
        left.append(sums[0, :-1] + sums[1, length] - sums[1, 1:])
    if most > 1:
        # What stands after the first letter struck, by the second one.
        after = sums[1, :-1] + sums[2, length] - sums[2, 1:]
        left += [sums[0, at] - sums[1, at + 1] + after[at + 1 :] for at in range(length - 1)]
    ways = sum(map(len, left))
    return np.concatenate(left).ravel(), np.tile(ids, ways)


def _hashes(word: str, most: int) -> NDArray[np.uint64]:
    """The hashes of everything left of `word`, ascending, some twice, by the rule of `_struck`."""
    plan = _plan(len(word), most)
    letters = np.frombuffer(word.encode("ascii"), dtype=np.uint8)
    sums = np.zeros((most + 1, len(word) + 1), dtype=np.uint64)
    (letters * plan.powers).cumsum(axis=1, out=sums[:, 1:])
    flat = sums.ravel()
    hashes: NDArray[np.uint64] = (
        flat[plan.upto].sum(axis=0) - flat[plan.since].sum(axis=0)
    ) & np.uint64(_MASK)
    hashes.sort()
    return hashes


@dataclass(frozen=True, slots=True)
class _Plan:
    """How the hashes of everything left of a word of one length are summed up.

    What stands before the first letter struck keeps its place, what follows moves up. Each
    row of sums from the left, over letters times `powers`, is for one number of places
    moved; a hash is the sums at `upto` less the sums at `since`, a row for each move.
    """

    powers: NDArray[np.uint64]
    upto: NDArray[np.intp]
    since: NDArray[np.intp]


@lru_cache(maxsize=64)
def _plan(length: int, most: int) -> _Plan:
    powers = np.zeros((most + 1, length), dtype=np.uint64)
    for moved in range(most + 1):
        # Of longer words only what is left is hashed: no letter keeps so late a place.
        stop = min(length, moved + len(_POWERS))
        powers[moved, moved:stop] = _POWERS[: stop - moved]
    upto, since = [], []
    for many in range(most + 1):
        for gone in combinations(range(length), many) if length - many <= LONGEST_STRUCK else ():
            edges = (-1, *gone, length)
            # The same place in both rows adds nothing.
            pieces = [(0, 0)] * (most - many)
            for moved in range(many + 1):
                row = moved * (length + 1)
                pieces.append((row + edges[moved + 1], row + edges[moved] + 1))
            upto.append([piece[0] for piece in pieces])
            since.append([piece[1] for piece in pieces])
    return _Plan(powers, np.array(upto, dtype=np.intp).T, np.array(since, dtype=np.intp).T)
