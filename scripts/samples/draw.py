"""Seeded draws that give the same answers on every machine and every Python.

Only `random.Random.random()` promises to keep its sequence from one Python version
to the next; `choice`, `shuffle` and `sample` do not. So everything here is built
on `random()` and whole numbers.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import Generic, TypeVar

T = TypeVar("T")


class Weighted(Generic[T]):
    """Items with whole-number weights, to be drawn in proportion to them."""

    def __init__(self, pairs: Iterable[tuple[T, int]]) -> None:
        kept = [(item, weight) for item, weight in pairs if weight > 0]
        self.items: tuple[T, ...] = tuple(item for item, _ in kept)
        self.steps: tuple[int, ...] = tuple(accumulate(weight for _, weight in kept))

    @classmethod
    def by_rank(cls, items: Sequence[T]) -> Weighted[T]:
        """Weights that fall with the rank, the first item being the commonest."""
        return cls((item, 10_000 // (rank + 5)) for rank, item in enumerate(items))


class Draw:
    """A stream of draws from one seed; the same calls give the same answers."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def below(self, limit: int) -> int:
        """A whole number from 0 to `limit - 1`."""
        return int(self._random.random() * limit)

    def between(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return low + self.below(high - low + 1)

    def chance(self, percent: int) -> bool:
        return self.below(100) < percent

    def pick(self, items: Sequence[T]) -> T:
        return items[self.below(len(items))]

    def weighted(self, table: Weighted[T]) -> T:
        return table.items[bisect_right(table.steps, self.below(table.steps[-1]))]

    def shuffled(self, items: Iterable[T]) -> list[T]:
        """A new list in drawn order; `items` is left alone."""
        left = list(items)
        for last in range(len(left) - 1, 0, -1):
            other = self.below(last + 1)
            left[last], left[other] = left[other], left[last]
        return left
