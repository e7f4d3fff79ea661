"""Names with the frequencies of the United States census of 1990, and a tail made by rule.

The lists of the package `names` end where a name became rare; a register does not. What
lies beyond is put together from the heads and endings of the listed names.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import names
import numpy as np
from numpy.typing import NDArray

Ids = NDArray[np.int32]

# Chosen so that a million people have about 126,000 last and 27,000 first names.
INVENTED_LAST, INVENTED_LAST_SHARE = 6_000, 0.045
INVENTED_FIRST, INVENTED_FIRST_SHARE = 14_000, 0.045
# The lists give thousandths of a percent; what is printed as 0.000 is still somebody.
LEAST_WEIGHT = 0.0004


class Stock(NamedTuple):
    """Names and the running sum of their shares; the last one is 1."""

    names: tuple[str, ...]
    running: NDArray[np.float64]

    def draw(self, rng: np.random.Generator, count: int) -> Ids:
        """Positions in `names`, drawn by share."""
        return np.searchsorted(self.running, rng.random(count), side="right").astype(np.int32)


@lru_cache(maxsize=1)
def last_names() -> Stock:
    """All last names: as listed, and the tail."""
    listed, weights = _listed("dist.all.last")
    tail = _invented(listed, INVENTED_LAST, "last")
    return _stock(listed, weights, tail, INVENTED_LAST_SHARE)


@lru_cache(maxsize=2)
def first_names(sex: str) -> Stock:
    """First names of `female` or `male` people: as listed, and the tail."""
    listed, weights = _listed(f"dist.{sex}.first")
    tail = _invented(listed, INVENTED_FIRST // 2, sex)
    return _stock(listed, weights, tail, INVENTED_FIRST_SHARE)


def _listed(file_name: str) -> tuple[list[str], list[float]]:
    path = Path(names.__file__).with_name(file_name)
    rows = [row.split() for row in path.read_text(encoding="ascii").splitlines() if row]
    return [_in_print(row[0]) for row in rows], [max(float(row[1]), LEAST_WEIGHT) for row in rows]


def _in_print(name: str) -> str:
    if name.startswith("MC") and len(name) > 4:
        return "Mc" + name[2:].capitalize()
    return name.capitalize()


def _invented(listed: Sequence[str], count: int, which: str) -> list[str]:
    """`count` names that are not listed: the head of one name, the ending of another."""
    chance = random.Random(f"invented {which}")
    known = set(listed)
    made: dict[str, None] = {}
    while len(made) < count:
        head, ending = chance.choice(listed), chance.choice(listed)
        name = head[: chance.randint(2, 4)] + ending[-chance.randint(2, 4) :].lower()
        if name not in known and 4 <= len(name) <= 9 and any(letter in "aeiouy" for letter in name):
            made[name] = None
    return list(made)


def _stock(
    listed: Sequence[str], weights: Sequence[float], tail: Sequence[str], tail_share: float
) -> Stock:
    head = np.array(weights) / sum(weights) * (1 - tail_share)
    rare = 1 / (np.arange(len(tail)) + 500.0)
    running = np.cumsum(np.concatenate([head, rare / rare.sum() * tail_share]))
    running[-1] = 1.0
    return Stock((*listed, *tail), running)
