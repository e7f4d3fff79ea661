"""The weights of an anchor's ranking, chosen by a small grid on people of their own seed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from finding_bench.engines.anchor import Anchor
from finding_bench.people import make_people
from finding_bench.queries import Query, make_queries
from finding_bench.rerank import LIKENESSES, Features, Weights, features_of, scores_of
from finding_bench.typed import read_typed

TUNE_SEED = "tune"
# Below, everybody finds everybody and nothing can be chosen; above, tuning takes too long.
LEAST_LINES, MOST_LINES = 20_000, 100_000
PER_KIND = 24

_GRID: dict[str, tuple[float, ...]] = {
    "first": (0.5, 0.65, 0.8, 1.0, 1.2),
    "birth": (0.1, 0.2, 0.3, 0.45, 0.6, 0.9),
    "birth_near": (0.2, 0.35, 0.5, 0.65, 0.8, 0.9),
    "birth_year": (0.1, 0.2, 0.3, 0.45),
    "suffix": (0.02, 0.05, 0.1, 0.15),
}
_STEPS = [(name, value) for name, values in _GRID.items() for value in values]
# Weights lean on each other: the second round settles the early ones anew.
ROUNDS = 2

Case = tuple[Query, list[int], Features]


def tuning_size(line_count: int) -> int:
    """The lines of the register on which weights for one of `line_count` lines are chosen."""
    return min(max(line_count, LEAST_LINES), MOST_LINES)


def tuned(anchor: Anchor, line_count: int) -> Weights:
    """The best weights for `anchor` on a register of this size; it is built and closed for that.

    The sum of the shares right at the first place and among five, over queries that have
    one answer, is made as large as it gets; of equals the first is kept.
    """
    people = make_people(line_count, TUNE_SEED)
    queries = [query for query in make_queries(people, PER_KIND, TUNE_SEED) if query.is_single]
    try:
        anchor.build(people)
        found = [anchor.candidates(read_typed(query.text)) for query in queries]
        return _best(anchor, queries, found)
    finally:
        anchor.close()


def _best(anchor: Anchor, queries: Sequence[Query], found: Sequence[list[int]]) -> Weights:
    """From the usual weights on, one weight after another to its best value, ROUNDS times."""
    best, best_worth = Weights(), -1
    for likeness in LIKENESSES:
        cases = [
            (query, held, features_of(anchor.rows, read_typed(query.text), held, likeness))
            for query, held in zip(queries, found, strict=True)
            if query.person in held
        ]
        weights = replace(Weights(), likeness=likeness)
        worth = _worth(cases, weights)
        for name, value in [step for _ in range(ROUNDS) for step in _STEPS]:
            step: dict[str, Any] = {name: value}
            other = replace(weights, **step)
            if (other_worth := _worth(cases, other)) > worth:
                weights, worth = other, other_worth
        if worth > best_worth:
            best, best_worth = weights, worth
    return best


def _worth(cases: Sequence[Case], weights: Weights) -> int:
    worth = 0
    for query, candidates, features in cases:
        scores = scores_of(features, weights)
        place = candidates.index(query.person)
        before = int((scores > scores[place]).sum() + (scores[:place] == scores[place]).sum())
        worth += (before == 0) + (before < 5)
    return worth
