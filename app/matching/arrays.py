"""Parts of a register as plain arrays by name, as they are kept in a file.

A part has `arrays` to give them and takes them back where it is made; two parts side by
side have the name of the part before their own names.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

Arrays = dict[str, NDArray[Any]]
Ids = NDArray[np.int32]


def under(name: str, arrays: Arrays) -> Arrays:
    """The arrays of a part, as they are named beside the other parts."""
    return {f"{name}.{key}": array for key, array in arrays.items()}


def within(name: str, arrays: Mapping[str, NDArray[Any]]) -> Arrays:
    """The arrays that `under` named so, by their own names."""
    start = f"{name}."
    return {key[len(start) :]: array for key, array in arrays.items() if key.startswith(start)}


def array_of_words(words: Iterable[str]) -> NDArray[np.uint8]:
    """Folded words, none of them empty, as bytes with a line feed between."""
    return np.frombuffer("\n".join(words).encode("ascii"), dtype=np.uint8)


def words_of_array(array: NDArray[np.uint8]) -> list[str]:
    """The words that `array_of_words` took."""
    return array.tobytes().decode("ascii").split("\n") if len(array) else []


class Lists:
    """A list of identifiers for each of some sorted keys: one array, cut by offsets."""

    def __init__(self, keys: list[str], ids: Ids, offsets: NDArray[np.int64]) -> None:
        self.keys = keys
        self._ids, self._offsets = ids, offsets

    @classmethod
    def made_of(cls, lists: Mapping[str, Sequence[int]]) -> Self:
        keys = sorted(lists)
        offsets = np.cumsum([0, *(len(lists[key]) for key in keys)], dtype=np.int64)
        ids = np.array(list(chain.from_iterable(lists[key] for key in keys)), dtype=np.int32)
        return cls(keys, ids, offsets)

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        return cls(words_of_array(arrays["keys"]), arrays["ids"], arrays["offsets"])

    def arrays(self) -> Arrays:
        return {"keys": array_of_words(self.keys), "ids": self._ids, "offsets": self._offsets}

    def of(self, key: str) -> Ids:
        """The identifiers of `key`; none where it is no key."""
        at = bisect_left(self.keys, key)
        return self.of_range(at, at + (at < len(self.keys) and self.keys[at] == key))

    def of_range(self, low: int, high: int) -> Ids:
        """The identifiers of neighbouring keys."""
        return self._ids[self._offsets[low] : self._offsets[high]]
