"""Short keys of the lines, compared letter by letter: suffixes, house numbers, voter numbers."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray

from app.matching.arrays import Arrays, array_of_words, under, within, words_of_array
from app.matching.columns import Ids, Positions, Postings, Texts


class KeyColumn:
    """A short key of each line, compared letter by letter: a suffix, a house number."""

    def __init__(self, words: Sequence[str], ids: Ids, postings: Postings) -> None:
        """`words` ascend; the identifier after the last is that of no key."""
        self._words = words
        self._ids = ids
        self.postings = postings

    @classmethod
    def made_of(cls, codes: Ids, keys: Sequence[str]) -> Self:
        """`codes` gives each line its place in `keys`."""
        words = sorted(set(keys) - {""})
        known = {word: at for at, word in enumerate([*words, ""])}
        ids = np.array([known[key] for key in keys], dtype=np.int32)[codes]
        everybody = np.arange(len(codes), dtype=np.int32)
        return cls(words, ids, Postings.made_of(ids, everybody, len(words) + 1))

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        postings = Postings.from_arrays(within("postings", arrays))
        return cls(words_of_array(arrays["words"]), arrays["ids"], postings)

    def arrays(self) -> Arrays:
        return {
            "words": array_of_words(self._words),
            "ids": self._ids,
            **under("postings", self.postings.arrays()),
        }

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

    def __init__(self, numbers: Texts, order: Positions, others: Texts, at: Positions) -> None:
        """`order` sorts `numbers`. `others`, sorted, are further beginnings of the lines `at`."""
        self._numbers = numbers
        self._order = order
        self._sorted = numbers[order]
        self._others = others
        self._others_at = at

    @classmethod
    def made_of(cls, numbers: Texts, order: Positions) -> Self:
        """With the ways to begin reading a number: after its letters, after zeros."""
        others, at = _other_starts(numbers)
        others_order = np.argsort(others, kind="stable")
        return cls(numbers, order, others[others_order], at[others_order])

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        return cls(arrays["numbers"], arrays["order"], arrays["others"], arrays["others_at"])

    def arrays(self) -> Arrays:
        return {
            "numbers": self._numbers,
            "order": self._order,
            "others": self._others,
            "others_at": self._others_at,
        }

    def number_of(self, at: int) -> str:
        """The number of the line at position `at`."""
        return bytes(self._numbers[at]).decode()

    def same(self, number: str) -> Positions:
        """The positions of the lines with this number."""
        low, high = _place(self._sorted, number, "left"), _place(self._sorted, number, "right")
        return self._order[low:high]

    def starting(self, start: str) -> Positions:
        """The positions of the lines with a number that begins so; a line may come twice."""
        low, high = _starting(self._sorted, start)
        first, last = _starting(self._others, start)
        return np.concatenate([self._order[low:high], self._others_at[first:last]])


def _starting(texts: Texts, start: str) -> tuple[int, int]:
    return _place(texts, start, "left"), _place(texts, start + "\x7f", "left")


def _place(texts: Texts, number: str, side: Literal["left", "right"]) -> int:
    """Where `number` stands among sorted ones.

    A key of another width would copy all of them each time; a longer one is none of
    them, and its place is after the number that it was cut to.
    """
    width = texts.dtype.itemsize
    if len(number) > width:
        number, side = number[:width], "right"
    key = np.array([number.encode()], dtype=texts.dtype)
    return int(np.searchsorted(texts, key, side)[0])


def _other_starts(numbers: Texts) -> tuple[Texts, Positions]:
    """What is left of folded numbers without letters in front, and without zeros after that;
    and whose they are.
    """
    letters = numbers.view(np.uint8).reshape(len(numbers), numbers.dtype.itemsize)
    begins = letters[:, 0]
    at = np.flatnonzero((begins == ord("0")) | (begins >= ord("a"))).astype(np.int32)
    letters = letters[at]
    without_letters = _head(letters >= ord("a"))
    past = np.arange(letters.shape[1]) < without_letters[:, np.newaxis]
    without_zeros = _head(past | (letters == ord("0")))
    found, whose = [], []
    for cuts, cuts_before in ((without_letters, 0), (without_zeros, without_letters)):
        is_new = (cuts > cuts_before) & (cuts < letters.shape[1])
        is_new[is_new] &= letters[is_new, cuts[is_new]] != 0
        found.append(_cut(letters[is_new], cuts[is_new]))
        whose.append(at[is_new])
    others = np.concatenate(found).view(numbers.dtype)
    return others.reshape(len(others)), np.concatenate(whose)


def _head(is_struck: NDArray[np.bool_]) -> NDArray[np.intp]:
    """For each row where its struck head ends."""
    ends: NDArray[np.intp] = np.logical_and.accumulate(is_struck, axis=1).sum(axis=1)
    return ends


def _cut(letters: NDArray[np.uint8], cuts: NDArray[np.intp]) -> NDArray[np.uint8]:
    """Each row without so many at its head, filled up at its end."""
    width = letters.shape[1]
    padded = np.pad(letters, ((0, 0), (0, width)))
    return np.take_along_axis(padded, cuts[:, np.newaxis] + np.arange(width), axis=1)
