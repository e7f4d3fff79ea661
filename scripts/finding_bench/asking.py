"""Put queries to an engine, one after another in one thread, and note what came back."""

from __future__ import annotations

import time
from collections.abc import Iterable

from finding_bench.engines.engine import Engine
from finding_bench.measures import Outcome
from finding_bench.queries import Query

# As many as a clerk takes in at a glance.
PLACES = 5


def ask(engine: Engine, queries: Iterable[Query]) -> list[Outcome]:
    """One outcome a query, in their order."""
    return [_ask_one(engine, query) for query in queries]


def _ask_one(engine: Engine, query: Query) -> Outcome:
    started = time.perf_counter()
    hits = engine.search(query.text, PLACES)
    seconds = time.perf_counter() - started
    positions = [hit.position for hit in hits]
    return Outcome(
        rank=next((at for at, hit in enumerate(positions, 1) if hit in query.acceptable), 0),
        person_rank=positions.index(query.person) + 1 if query.person in positions else 0,
        acceptable=len(query.acceptable),
        seconds=seconds,
        probability=hits[0].probability if hits else None,
    )
