"""The anchors' ranking of their candidates: name likeness and birth date, one weighted sum.

Every way to part the typed words into a last and a first name is tried, in both orders.
The weights are plain numbers that `tuning` chooses for each engine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA, JaroWinkler

from finding_bench.other_names import other_names
from finding_bench.rows import Rows
from finding_bench.typed import Typed

Numbers = NDArray[np.float64]

LIKENESSES = ("jaro_winkler", "edits", "mean")
# How sure a name is that fits in another way than letter by letter.
STARTS, NICKNAME, PART, MAIDEN, MIDDLE, INITIAL = 0.93, 0.95, 0.97, 0.90, 0.88, 0.90
# Only one of the two names was typed, or is explained.
ONE_NAME = 0.75
NO_BIRTH, BIRTH_YEAR, BIRTH_NEAR, BIRTH_SAME = range(4)


@dataclass(frozen=True, slots=True)
class Weights:
    """What counts how much: `first` and `birth` beside a last name's 1."""

    likeness: str = "mean"
    first: float = 0.8
    birth: float = 0.7
    birth_near: float = 0.5
    birth_year: float = 0.25
    suffix: float = 0.15


class Features(NamedTuple):
    """What the candidates of one query are ranked by, a row each.

    last, first: one column for each way to part the words. birth: NO_BIRTH to BIRTH_SAME.
    suffix: 1 agrees, -1 differs.
    """

    last: Numbers
    first: Numbers
    birth: NDArray[np.int8]
    suffix: NDArray[np.int8]


def scores_of(features: Features, weights: Weights) -> Numbers:
    """One score a candidate; higher fits better."""
    names = (features.last + weights.first * features.first) / (1 + weights.first)
    of_birth = np.array([0, weights.birth_year, weights.birth_near, 1.0]) * weights.birth
    total: Numbers = names.max(axis=1) + of_birth[features.birth] + weights.suffix * features.suffix
    return total


def ranked(
    rows: Rows, typed: Typed, candidates: Sequence[int], weights: Weights
) -> list[tuple[int, float]]:
    """The candidates with their scores, best first; equals stay in the engine's order."""
    if not candidates:
        return []
    scores = scores_of(features_of(rows, typed, candidates, weights.likeness), weights)
    order = np.argsort(-np.round(scores, 9), kind="stable")
    return [(candidates[at], float(scores[at])) for at in order.tolist()]


def features_of(rows: Rows, typed: Typed, candidates: Sequence[int], likeness: str) -> Features:
    """What `scores_of` needs of these candidates."""
    people = rows.people
    ways = partings(typed)
    names = _Names(rows, likeness)
    last = np.zeros((len(candidates), len(ways)))
    first = np.zeros_like(last)
    for row, at in enumerate(candidates):
        ids = people.last[at], people.maiden[at], people.first[at], people.middle[at]
        for way, (last_words, given) in enumerate(ways):
            last[row, way], first[row, way] = names.fit(last_words, given, *ids)
    return Features(
        last,
        first,
        np.array([birth_likeness(typed, people.birth_date(at)) for at in candidates], np.int8),
        np.array([_suffix_agreement(typed, rows.suffix(at)) for at in candidates], np.int8),
    )


Parting = tuple[tuple[str, ...], tuple[str, ...]]


def partings(typed: Typed) -> list[Parting]:
    """Every way to part the words into a last and a first name, in both orders."""
    words = typed.words
    if len(words) < 2:
        return [(words, ()), ((), words)]
    cuts = range(1, len(words)) if typed.comma_at is None else (typed.comma_at,)
    ways = [(words[:cut], words[cut:]) for cut in cuts]
    return [*ways, *((last, first) for first, last in ways)]


class _Names:
    """Likeness of the typed names with printed ones, each pair worked out once."""

    def __init__(self, rows: Rows, likeness: str) -> None:
        self._rows, self._likeness = rows, likeness
        self._known: dict[tuple[object, ...], float] = {}

    def fit(
        self, last_words: tuple[str, ...], given: tuple[str, ...], *ids: int
    ) -> tuple[float, float]:
        last, maiden, first, middle = map(int, ids)
        of_last = self._once(self._last, last_words, last, maiden) if last_words else 0.0
        of_first = self._once(self._first, given, first, middle) if given else 0.0
        if not last_words or not given:
            # What was not typed neither agrees nor differs.
            alone = (of_last + of_first) * ONE_NAME
            return alone, alone
        return of_last, of_first

    def _once(
        self, compare: Callable[..., float], words: tuple[str, ...], one: int, other: int
    ) -> float:
        key = (compare, words, one, other)
        if key not in self._known:
            self._known[key] = compare(words, one, other)
        return self._known[key]

    def _last(self, words: tuple[str, ...], last: int, maiden: int) -> float:
        text = "".join(words)
        whole, *parts = self._rows.last_forms[last]
        best = self._like(text, whole)
        for part in parts:
            best = max(best, PART * self._like(text, part))
        if len(words) > 1:
            for word in words:
                if len(word) > 3:
                    best = max(best, PART * PART * self._like(word, whole))
        if maiden:
            best = max(best, MAIDEN * self._like(text, self._rows.last_forms[maiden][0]))
        return best

    def _first(self, words: tuple[str, ...], first: int, middle: int) -> float:
        text, whole = "".join(words), self._rows.given[first]
        other = self._rows.given[middle]
        best = self._like(text, whole)
        if whole in other_names(text):
            best = max(best, NICKNAME)
        for part in self._rows.given_words[first][1:]:
            best = max(best, PART * self._like(text, part))
        if len(words) > 1:
            head, rest = words[0], "".join(words[1:])
            agrees = self._like(rest, other) if other else 0.5
            best = max(best, 0.75 * self._like(head, whole) + 0.25 * agrees)
        if len(other) > 1:
            best = max(best, MIDDLE * self._like(text, other))
        return best

    def _like(self, typed: str, printed: str) -> float:
        if typed == printed:
            return 1.0
        if len(typed) == 1:
            return INITIAL if printed.startswith(typed) else 0.0
        if printed.startswith(typed):
            return STARTS
        if self._likeness == "jaro_winkler":
            return JaroWinkler.similarity(typed, printed)
        if self._likeness == "edits":
            return OSA.normalized_similarity(typed, printed)
        jaro, edits = JaroWinkler.similarity, OSA.normalized_similarity
        return (jaro(typed, printed) + edits(typed, printed)) / 2


def birth_likeness(typed: Typed, birth: date) -> int:
    """How the typed date agrees with a printed one."""
    if typed.births:
        if birth == typed.births[0]:
            return BIRTH_SAME
        return BIRTH_NEAR if any(_is_near(one, birth) for one in typed.births) else NO_BIRTH
    if typed.month_day:
        return BIRTH_NEAR if (birth.month, birth.day) == typed.month_day else NO_BIRTH
    return BIRTH_YEAR if typed.year == birth.year else NO_BIRTH


def _is_near(one: date, other: date) -> bool:
    """One digit or two neighbours off, day and month swapped, or a year off."""
    if one.year == other.year and (one.month, one.day) == (other.day, other.month):
        return True
    if abs(one.year - other.year) == 1 and (one.month, one.day) == (other.month, other.day):
        return True
    return OSA.distance(f"{one:%Y%m%d}", f"{other:%Y%m%d}") <= 1


def _suffix_agreement(typed: Typed, printed: str) -> int:
    if not typed.suffix:
        return 0
    return 1 if typed.suffix == printed else -1
