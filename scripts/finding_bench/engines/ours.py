"""The program's own finder, through the door that the rest of the program uses."""

from __future__ import annotations

import time
from tempfile import TemporaryFile

from app.matching.finder import Finder
from app.matching.register import Register
from app.matching.saved import load_register, save_register
from finding_bench.engines.engine import Hit
from finding_bench.people import ELECTION_YEAR, People


class Ours:
    """`app.matching.finder.Finder`."""

    name = "ours"

    def build(self, people: People) -> None:
        self._register = Register(people.lines())
        self._finder = Finder(self._register, election_year=ELECTION_YEAR)
        self._finder.find("a")  # whatever is put together at the first question

    def search(self, text: str, limit: int) -> list[Hit]:
        found = self._finder.find(text, limit)
        return [Hit(int(match.line_id), match.probability) for match in found.matches]

    def seconds_from_saved(self) -> float:
        """What it takes to be ready from a file that was written a moment ago."""
        with TemporaryFile(prefix="finding-saved-") as file:
            save_register(self._register, "", file)
            file.seek(0)
            started = time.perf_counter()
            assert load_register(file, "") is not None
            return time.perf_counter() - started

    def disk_bytes(self) -> int:
        return 0

    def close(self) -> None:
        del self._finder, self._register
