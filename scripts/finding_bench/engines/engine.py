"""What every engine does: take a register, answer texts with positions."""

from __future__ import annotations

import importlib
from typing import Any, NamedTuple, Protocol

from finding_bench.people import People


class Hit(NamedTuple):
    """A line by its position, and the probability that it is meant where the engine says."""

    position: int
    probability: float | None = None


class Missing(Exception):
    """An engine cannot run here. The text says what to install."""


def needed(module: str, install: str) -> Any:
    """The module of a package that only the measurements use; Missing where it is not there."""
    try:
        return importlib.import_module(module)
    except ImportError as fault:
        raise Missing(install) from fault


class Engine(Protocol):
    """One way of finding people. `build` comes first and once, `close` last."""

    name: str

    def build(self, people: People) -> None:
        """Take in a register."""

    def search(self, text: str, limit: int) -> list[Hit]:
        """At most `limit` lines for a typed text, best first."""

    def disk_bytes(self) -> int:
        """What is kept in files; 0 where all is in memory."""

    def close(self) -> None:
        """Give back files and processes."""
