"""The weights of an anchor's ranking, chosen by a small grid on people of their own.

Never on the people that are reported: invented registers have a seed for it, and a FEBRL
set takes the weights of another one, so that the anchors know its kind of damage.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from finding_bench.engines.anchor import Anchor
from finding_bench.febrl import load_febrl
from finding_bench.people import People, make_people
from finding_bench.queries import Query, make_queries
from finding_bench.rerank import LIKENESSES, Features, Weights, features_of, scores_of
from finding_bench.typed import read_typed

TUNE_SEED = "tune"
# Below, everybody finds everybody and nothing can be chosen; above, tuning takes too long.
LEAST_LINES, MOST_LINES = 20_000, 100_000
PER_KIND = 24
# As many of a FEBRL set's queries as of an invented one.
MOST_QUERIES = 600

_GRID: dict[str, tuple[float, ...]] = {
    "first": (0.5, 0.65, 0.8, 1.0, 1.2),
    "birth": (0.1, 0.2, 0.3, 0.45, 0.6, 0.9, 1.3),
    "birth_near": (0.2, 0.35, 0.5, 0.65, 0.8, 0.9),
    "birth_year": (0.1, 0.2, 0.3, 0.45),
    "suffix": (0.02, 0.05, 0.1, 0.15),
}
_STEPS = [(name, value) for name, values in _GRID.items() for value in values]
# Weights lean on each other: the second round settles the early ones anew.
ROUNDS = 2

Case = tuple[Query, list[int], Features]


class TuningSet(NamedTuple):
    """People to tune on, made when they are needed."""

    name: str
    make: Callable[[], tuple[People, list[Query]]]


def invented_for(line_count: int) -> TuningSet:
    """What to tune on for an invented register of `line_count` lines."""
    size = min(max(line_count, LEAST_LINES), MOST_LINES)

    def make() -> tuple[People, list[Query]]:
        people = make_people(size, TUNE_SEED)
        return people, make_queries(people, PER_KIND, TUNE_SEED)

    return TuningSet(f"{size:,} people of the seed {TUNE_SEED}", make)


def febrl_for(name: str) -> TuningSet:
    """What to tune on for a FEBRL set: another one."""
    other = name.replace("4", "3") if "4" in name else name.replace("3", "4")
    if name in ("febrl1", "febrl2"):
        other = "febrl3"

    def make() -> tuple[People, list[Query]]:
        people, queries = load_febrl(other)
        return people, queries[:: max(1, len(queries) // MOST_QUERIES)]

    return TuningSet(other, make)


def tuned(anchor: Anchor, tuning_set: TuningSet) -> Weights:
    """The best weights for `anchor` on this set; it is built and closed for that.

    The sum of the shares right at the first place and among five, over queries that have
    one answer, is made as large as it gets; of equals the first is kept.
    """
    people, made = tuning_set.make()
    queries = [query for query in made if query.is_single]
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
