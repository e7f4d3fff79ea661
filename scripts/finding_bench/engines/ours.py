"""The program's own finder, through the door that the rest of the program uses."""

from __future__ import annotations

from app.matching.finder import Finder
from finding_bench.engines.engine import Hit
from finding_bench.people import ELECTION_YEAR, People


class Ours:
    """`app.matching.finder.Finder`."""

    name = "ours"

    def build(self, people: People) -> None:
        self._finder = Finder(people.lines(), election_year=ELECTION_YEAR)
        self._finder.find("a")  # whatever is put together at the first question

    def search(self, text: str, limit: int) -> list[Hit]:
        found = self._finder.find(text, limit)
        return [
            Hit(int(match.line_id), getattr(match, "probability", None)) for match in found.matches
        ]

    def disk_bytes(self) -> int:
        return 0

    def close(self) -> None:
        del self._finder
