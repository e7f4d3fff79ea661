"""Shares with their intervals, times, calibration, and one engine beside another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

# Two-sided 95 % of the normal distribution.
Z95 = 1.959963984540054
BINS = 10


class Share(NamedTuple):
    """A share of `total` with its Wilson 95 % interval."""

    value: float
    low: float
    high: float
    total: int

    def __str__(self) -> str:
        if not self.total:
            return "–"
        return f"{self.value:.1%} ({self.low:.1%}–{self.high:.1%})"


def wilson(hits: int, count: int, z: float = Z95) -> Share:
    """The share of hits and its score interval (Wilson 1927)."""
    if not count:
        return Share(math.nan, math.nan, math.nan, 0)
    share = hits / count
    middle = share + z * z / (2 * count)
    spread = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    scale = 1 + z * z / count
    low = 0.0 if hits == 0 else (middle - spread) / scale
    high = 1.0 if hits == count else (middle + spread) / scale
    return Share(share, low, high, count)


class Outcome(NamedTuple):
    """What one engine made of one query.

    rank: place of the first acceptable line, from 1; 0 where none was shown. person_rank:
    the same for the person alone. probability: what the engine said of its first line.
    """

    rank: int
    person_rank: int
    acceptable: int
    seconds: float
    probability: float | None = None


def recall_at(outcomes: Sequence[Outcome], places: int) -> Share:
    """How often an acceptable line is among the first places."""
    return wilson(sum(1 <= one.rank <= places for one in outcomes), len(outcomes))


def person_at(outcomes: Sequence[Outcome], places: int) -> Share:
    """How often the person is, whatever the query cannot tell."""
    return wilson(sum(1 <= one.person_rank <= places for one in outcomes), len(outcomes))


def best_possible_at(outcomes: Sequence[Outcome], places: int) -> float:
    """What `person_at` can be at best: lines that cannot be told apart come in any order."""
    if not outcomes:
        return math.nan
    return sum(min(places, one.acceptable) / one.acceptable for one in outcomes) / len(outcomes)


def percentile(values: Sequence[float], percent: float) -> float:
    """The value at this percent of the sorted values, the nearest one above."""
    if not values:
        return math.nan
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, math.ceil(len(ordered) * percent / 100) - 1)]


class Bin(NamedTuple):
    """Answers whose probability lies in one tenth: how many, what was said, what was true."""

    answers: int
    said: float
    true: float


def reliability(outcomes: Sequence[Outcome]) -> list[Bin]:
    """Ten bins by the probability of the first line; empty ones are left out.

    True is what was said: the person meant is the first line, not one who cannot be told
    from them.
    """
    bins: list[list[Outcome]] = [[] for _ in range(BINS)]
    for one in outcomes:
        if one.probability is not None:
            bins[min(int(one.probability * BINS), BINS - 1)].append(one)
    return [
        Bin(
            len(held),
            sum(one.probability or 0.0 for one in held) / len(held),
            sum(one.person_rank == 1 for one in held) / len(held),
        )
        for held in bins
        if held
    ]


def calibration_error(outcomes: Sequence[Outcome]) -> float | None:
    """The expected calibration error over ten equal bins; None where nothing was said."""
    bins = reliability(outcomes)
    total = sum(held.answers for held in bins)
    if not total:
        return None
    return sum(held.answers * abs(held.said - held.true) for held in bins) / total


class Difference(NamedTuple):
    """One engine less another at the first place, on the same queries.

    only_one, only_other: queries that one alone got right. low, high: Newcombe's 95 %
    interval for paired shares. p: McNemar's exact two-sided probability.
    """

    value: float
    low: float
    high: float
    only_one: int
    only_other: int
    p: float


def paired_difference(one: Sequence[bool], other: Sequence[bool]) -> Difference:
    """Compare two engines by which queries each got right, in the same order."""
    pairs = list(zip(one, other, strict=True))
    count = len(pairs)
    both = sum(a and b for a, b in pairs)
    only_one, only_other = sum(a and not b for a, b in pairs), sum(b and not a for a, b in pairs)
    neither = count - both - only_one - only_other
    value = (only_one - only_other) / count
    first, second = wilson(both + only_one, count), wilson(both + only_other, count)
    spread = (both + only_one) * (only_other + neither) * (both + only_other) * (only_one + neither)
    phi = (both * neither - only_one * only_other) / math.sqrt(spread) if spread else 0.0
    down, up = first.value - first.low, first.high - first.value
    other_down, other_up = second.value - second.low, second.high - second.value
    low = value - math.sqrt(max(down**2 - 2 * phi * down * other_up + other_up**2, 0))
    high = value + math.sqrt(max(up**2 - 2 * phi * up * other_down + other_down**2, 0))
    return Difference(value, low, high, only_one, only_other, mcnemar(only_one, only_other))


def mcnemar(only_one: int, only_other: int) -> float:
    """The exact two-sided probability of so uneven a split, were both engines equal."""
    count = only_one + only_other
    fewer = min(only_one, only_other)
    tail: float = sum(math.comb(count, hits) for hits in range(fewer + 1)) / 2**count
    return min(1.0, 2 * tail)
