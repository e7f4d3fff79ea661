"""One run over one register: tune, build and ask each engine in turn."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field

from finding_bench.asking import ask
from finding_bench.engines.anchor import Anchor
from finding_bench.engines.engine import Engine, Missing
from finding_bench.engines.ours import Ours
from finding_bench.engines.registry import OURS, new_engine
from finding_bench.keystrokes import Typing, type_all
from finding_bench.measures import Outcome
from finding_bench.people import People
from finding_bench.queries import Query
from finding_bench.rerank import Weights
from finding_bench.tuning import TuningSet, tuned

WARM_UP = 20


@dataclass
class Result:
    """What one engine did on one register. `outcomes` are in the order of the queries.

    build_seconds: from rows, the making of each row included. saved_seconds: from a file, None
    for engines that were not asked.
    """

    engine: str
    build_seconds: float = 0.0
    saved_seconds: float | None = None
    disk_bytes: int = 0
    memory_bytes: int | None = None
    weights: dict[str, object] = field(default_factory=dict)
    outcomes: list[Outcome] = field(default_factory=list)
    typing: list[Typing] = field(default_factory=list)


class Runner:
    """Runs engines over one register, one after another; only one is built at a time."""

    def __init__(
        self, people: People, queries: Sequence[Query], tuning_set: TuningSet, typists: int
    ) -> None:
        self._people, self._queries = people, queries
        self._tuning_set, self._typists = tuning_set, typists

    def results(
        self, names: Iterable[str], *, with_plain: bool
    ) -> Iterator[Result | tuple[str, Missing]]:
        """One result an engine as it comes, or its name and what it lacks."""
        for name in names:
            for is_plain in (False, True) if with_plain and name != OURS else (False,):
                try:
                    yield self._result(name, is_plain)
                except Missing as missing:
                    yield name, missing
                    break

    def _result(self, name: str, is_plain: bool) -> Result:
        engine = new_engine(name, is_plain=is_plain)
        result = Result(engine.name)
        if isinstance(engine, Anchor) and not is_plain:
            engine.weights = weights_for(name, self._tuning_set)
            result.weights = {**asdict(engine.weights), "tuned on": self._tuning_set.name}
        started = time.perf_counter()
        try:
            engine.build(self._people)
            result.build_seconds = time.perf_counter() - started
            if isinstance(engine, Ours):
                result.saved_seconds = engine.seconds_from_saved()
            self._measure(engine, result)
        finally:
            engine.close()
        return result

    def _measure(self, engine: Engine, result: Result) -> None:
        # From all kinds, or the first real question of a kind pays for its first use.
        ask(engine, self._queries[:: max(1, len(self._queries) // WARM_UP)])
        result.outcomes = ask(engine, self._queries)
        result.disk_bytes = engine.disk_bytes()
        if self._typists:
            result.typing = type_all(engine, self._people, self._typists)


_weights: dict[tuple[str, str], Weights] = {}


def weights_for(name: str, tuning_set: TuningSet) -> Weights:
    """The tuned weights of an anchor; tuned once in a run."""
    key = name, tuning_set.name
    if key not in _weights:
        anchor = new_engine(name)
        assert isinstance(anchor, Anchor)
        _weights[key] = tuned(anchor, tuning_set)
    return _weights[key]
