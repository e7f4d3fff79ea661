"""What all anchors share: one parser, one set of branches, one ranking of candidates.

An anchor brings its own way to look names up. Plain, it shows what it finds in its own
order; otherwise lines with the typed beginnings and the typed birth date join the
candidates, and all of them are ranked by `rerank`.
"""

from __future__ import annotations

from abc import ABC, abstractmethod

from finding_bench.engines.engine import Hit
from finding_bench.other_names import other_names
from finding_bench.people import People
from finding_bench.rerank import Weights, partings, ranked
from finding_bench.rows import Rows
from finding_bench.typed import Typed, read_typed

# Candidates of each branch. More cost time and were not found to help.
WIDTH = 100
MOST_NICKNAMES = 12


class Anchor(ABC):
    """A general-purpose engine. Not to be used before `build`."""

    name = ""

    def __init__(self, *, is_plain: bool = False) -> None:
        self.is_plain = is_plain
        self.weights = Weights()
        if is_plain:
            self.name = f"{self.name} plain"

    def build(self, people: People) -> None:
        self.rows = Rows(people)
        self._store(self.rows)

    def search(self, text: str, limit: int) -> list[Hit]:
        typed = read_typed(text)
        if self.is_plain:
            return [Hit(at) for at in self._by_names(typed, limit)[:limit]] if typed.words else []
        best = ranked(self.rows, typed, self.candidates(typed), self.weights)
        return [Hit(at) for at, _ in best[:limit]]

    def candidates(self, typed: Typed) -> list[int]:
        """Positions from all branches, each once."""
        found: list[int] = []
        if typed.births:
            found += self._by_birth(typed, WIDTH)
        if typed.words:
            found += self._by_starts(typed, WIDTH)
            found += self._by_names(typed, WIDTH)
        return list(dict.fromkeys(found))

    def disk_bytes(self) -> int:
        return 0

    def close(self) -> None:  # noqa: B027 - most have nothing to give back
        pass

    def nicknames(self, typed: Typed) -> list[str]:
        """Other names of any of the typed words; none where plain."""
        if self.is_plain:
            return []
        found = {name for word in typed.words for name in other_names(word)}
        return sorted(found)[:MOST_NICKNAMES]

    @staticmethod
    def starts(typed: Typed) -> list[tuple[str, str]]:
        """Beginnings of last and first name that the words may be, either order."""
        return [("".join(last), "".join(first)) for last, first in partings(typed)]

    @abstractmethod
    def _store(self, rows: Rows) -> None:
        """Index these rows."""

    @abstractmethod
    def _by_names(self, typed: Typed, width: int) -> list[int]:
        """The engine's own search for names, its best first."""

    @abstractmethod
    def _by_starts(self, typed: Typed, width: int) -> list[int]:
        """Lines whose names begin as typed."""

    @abstractmethod
    def _by_birth(self, typed: Typed, width: int) -> list[int]:
        """Lines with the typed birth date."""
