"""Finding the words a slip or two away from a typed one, without comparing with all of them.

If two words are `k` slips apart (a letter wrong, missing, extra, or two swapped), then
striking at most `k` letters from each can make them the same. So every way of striking
letters from a word of the vocabulary is kept, as a hash; what was typed is struck in
the same ways and looked up. What comes back is a superset: the caller measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Ids = NDArray[np.int32]

# Longer words are few; they come back for every question and are measured.
LONGEST_STRUCK = 20
# From shorter words no second letter is struck: little would be left of them.
SHORTEST_STRUCK_TWICE = 4

# Any odd number will do; a wrong hit costs one comparison and nothing else.
_BASE = 0x01000193
_MASK = 0xFFFFFFFF
_POWERS = tuple(pow(_BASE, at, 1 << 32) for at in range(LONGEST_STRUCK + 1))


class SlipIndex:
    """Words by what is left of them when `most` letters (1 or 2) or fewer are struck.

    A word's identifier is its place in `words`.
    """

    def __init__(self, words: Sequence[str], *, most: int) -> None:
        self._long = np.array(
            [at for at, word in enumerate(words) if len(word) > LONGEST_STRUCK], dtype=np.int32
        )
        parts = [
            _struck(words, ids, length, min(most, 1 if length < SHORTEST_STRUCK_TWICE else 2))
            for length, ids in _by_length(words).items()
        ]
        keys = np.sort(np.concatenate(parts)) if parts else np.zeros(0, dtype=np.uint64)
        # Striking either of two same letters leaves the same.
        is_new = np.ones(len(keys), dtype=np.bool_)
        is_new[1:] = keys[1:] != keys[:-1]
        self._keys: NDArray[np.uint64] = keys[is_new]

    def near(self, word: str, most: int) -> Ids:
        """The identifiers of all words at most `most` slips from `word`, and of some others."""
        if len(word) > LONGEST_STRUCK + most:
            return self._long
        hashes = np.array(sorted(_hashes(word, most)), dtype=np.uint64) << np.uint64(32)
        low = np.searchsorted(self._keys, hashes)
        high = np.searchsorted(self._keys, hashes + np.uint64(1 << 32))
        hits = np.concatenate(
            [self._keys[start:stop] for start, stop in zip(low, high, strict=True)]
        )
        found = (hits & np.uint64(_MASK)).astype(np.int32)
        return np.unique(np.concatenate([found, self._long]))


def _by_length(words: Sequence[str]) -> dict[int, list[int]]:
    by_length: dict[int, list[int]] = {}
    for at, word in enumerate(words):
        if 0 < len(word) <= LONGEST_STRUCK:
            by_length.setdefault(len(word), []).append(at)
    return by_length


def _struck(words: Sequence[str], ids: Sequence[int], length: int, most: int) -> NDArray[np.uint64]:
    """Hash and identifier, packed, of everything left of these words of one length."""
    text = "".join(words[at] for at in ids).encode("ascii")
    letters = np.frombuffer(text, dtype=np.uint8).reshape(len(ids), length).astype(np.uint32)
    low = np.array(ids, dtype=np.uint64)
    packed = []
    for many in range(min(most, length - 1) + 1):
        powers = np.array(_POWERS[: length - many], dtype=np.uint32)
        for gone in combinations(range(length), many):
            left = [at for at in range(length) if at not in gone]
            hashes = (letters[:, left] * powers).sum(axis=1, dtype=np.uint32)
            packed.append(hashes.astype(np.uint64) << np.uint64(32) | low)
    return np.concatenate(packed)


def _hashes(word: str, most: int) -> set[int]:
    """The hashes of everything left of `word`, by the same rule as `_struck`."""
    letters = word.encode("ascii")
    left = {letters}
    newest = left
    for _ in range(most):
        newest = {rest[:at] + rest[at + 1 :] for rest in newest for at in range(len(rest))}
        left = left | newest
    return {_hash(rest) for rest in left if 0 < len(rest) <= LONGEST_STRUCK}


def _hash(letters: bytes) -> int:
    return sum(letter * power for letter, power in zip(letters, _POWERS, strict=False)) & _MASK
