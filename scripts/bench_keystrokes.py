"""How many keys it takes to sign a voter: python scripts/bench_keystrokes.py --people 300

Random people of the sample precinct whose line needs nothing but a signature are typed as
clerks type, every key one question to a real server, until

    alone      the page has chosen their line by itself: Enter opens it, Enter signs
    in sight   their line is among those shown: Alt and its digit open it, Enter signs

Counted are the keys typed before that. Nobody is signed: the two presses that follow are
played by tests/browser/test_keystrokes.py.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import httpx
from rich.console import Console
from rich.table import Table

from _running_server import make_day, percentile, running
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store
from app.rules.line import Line, PrintedLine

# As many as the page shows.
SHOWN = 8


def letters(name: str) -> str:
    """As clerks type names: small letters, no hyphens, apostrophes or spaces."""
    return "".join(letter for letter in name.lower() if letter.isalpha())


def three_and_first(printed: PrintedLine) -> str:
    return f"{letters(printed.last_name)[:3]} {letters(printed.first_name)} {date(printed)}"


def four_and_first(printed: PrintedLine) -> str:
    return f"{letters(printed.last_name)[:4]} {letters(printed.first_name)} {date(printed)}"


def last_and_first(printed: PrintedLine) -> str:
    return f"{letters(printed.last_name)} {letters(printed.first_name)} {date(printed)}"


def birth_date(printed: PrintedLine) -> str:
    return f"{date(printed)} {letters(printed.last_name)}"


def date(printed: PrintedLine) -> str:
    born = printed.birth_date
    return f"{born.month}/{born.day}/{born.year}"


HABITS: dict[str, Callable[[PrintedLine], str]] = {
    "3 letters, first name": three_and_first,
    "4 letters, first name": four_and_first,
    "last name, first name": last_and_first,
    "birth date, last name": birth_date,
}


@dataclass(frozen=True)
class Keys:
    """Keys typed until the line stood alone, and until it was in sight; None where it never did."""

    until_alone: int | None
    until_in_sight: int | None


def type_until_alone(station: httpx.Client, line: Line, text: str) -> Keys:
    in_sight = None
    for keys in range(1, len(text) + 1):
        asked = {"text": text[:keys], "limit": SHOWN}
        found = station.post("/api/find", json=asked).raise_for_status().json()
        shown = [match["line_id"] for match in found["matches"]]
        if in_sight is None and line.line_id in shown:
            in_sight = keys
        # The page's own rule: see found() in frontend/logic/search.js.
        if found["fits"] == 1 and shown[0] == line.line_id:
            return Keys(keys, in_sight)
    return Keys(None, in_sight)


def people(url: str, line_ids: Sequence[str], many: int) -> list[Line]:
    """`many` random people of those who need no step, the same ones in every run."""
    chosen = random.Random("keystrokes").sample(sorted(line_ids), many)
    with open_store(url, SystemClock()) as store:
        lines = store.read(lambda connection: queries.lines_with(connection, chosen))
    return sorted(lines.values(), key=lambda line: line.printed.voter_number)


def rows(name: str, keys: Sequence[Keys]) -> Iterator[tuple[str, ...]]:
    for what, counts in (
        ("alone", [each.until_alone for each in keys]),
        ("in sight", [each.until_in_sight for each in keys]),
    ):
        # Whoever never stood there counts as the most keys, not as nobody.
        known = [float("inf") if count is None else float(count) for count in counts]
        never = sum(count is None for count in counts)
        figures = (percentile(known, 0.5), percentile(known, 0.9), percentile(known, 0.99))
        yield (name, what, *(f"{figure:g}" for figure in figures), str(never))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=300)
    asked = parser.parse_args()
    table = Table("typed", "until the line is", "median", "90 %", "99 %", "never")
    with tempfile.TemporaryDirectory() as folder:
        day = make_day(Path(folder))
        chosen = people(day.url, day.open_lines, min(asked.people, len(day.open_lines)))
        with running(day) as server:
            server.open_polls()
            with closing(server.station("RM", "Table 1")) as station:
                for name, whole in HABITS.items():
                    keys = [type_until_alone(station, line, whole(line.printed)) for line in chosen]
                    for row in rows(name, keys):
                        table.add_row(*row)
    table.title = f"{len(chosen)} people of {len(day.open_lines):,} lines that need no step"
    Console(width=90).print(table)


if __name__ == "__main__":
    main()
