"""Nicknames for the anchors: the table of the `nicknames` package, read both ways."""

from __future__ import annotations

from functools import lru_cache

from nicknames import NickNamer

from finding_bench.folding import glued


@lru_cache(maxsize=1)
def _table() -> dict[str, frozenset[str]]:
    known: dict[str, set[str]] = {}
    for name, others in NickNamer.default_lookup().items():
        for other in others:
            known.setdefault(glued(name), set()).add(glued(other))
            known.setdefault(glued(other), set()).add(glued(name))
    return {name: frozenset(others - {name, ""}) for name, others in known.items()}


def other_names(first_name: str) -> frozenset[str]:
    """Folded names that somebody with this folded first name may be registered under."""
    return _table().get(first_name, frozenset())
