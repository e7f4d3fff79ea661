"""The engines by the names that the command line takes."""

from __future__ import annotations

from collections.abc import Callable

from finding_bench.engines.anchor import Anchor
from finding_bench.engines.ours import Ours
from finding_bench.engines.postgres_trigrams import PostgresNearest, PostgresTrigrams
from finding_bench.engines.scan import Scan
from finding_bench.engines.sqlite_trigrams import SqliteTrigrams
from finding_bench.engines.tantivy_terms import TantivyTerms

OURS = "ours"
ANCHORS: dict[str, Callable[..., Anchor]] = {
    "sqlite": SqliteTrigrams,
    "postgres-gin": PostgresTrigrams,
    "postgres-gist": PostgresNearest,
    "tantivy": TantivyTerms,
    "scan": Scan,
}
NAMES = (OURS, *ANCHORS)


def new_engine(name: str, *, is_plain: bool = False) -> Ours | Anchor:
    """An engine that is not built yet."""
    return Ours() if name == OURS else ANCHORS[name](is_plain=is_plain)
