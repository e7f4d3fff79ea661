"""What copies cost: signatures with a carbon or a second laptop beside those without, in one run.

    python scripts/bench_carbon.py

Each way is measured several times, in turns, on one disk, through the writer and over HTTP; the
ratios are of the medians. The second laptop is a process on this machine that follows over TLS: it
takes its share of the same cores and disk, and no network lies between.
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.table import Table

from _running_server import Day, Server, make_day, percentile, running
from _second_laptop import followed, standby_told
from app.records.carbon import carbon_into
from app.records.copies import MakeCopy
from app.records.engine import sqlite_path
from bench_signing import STATIONS, Serving, sync_seconds, through_the_server, through_the_writer

PASSPHRASE = "measured beside the terns"  # noqa: S105 - of a record that is thrown away


@dataclass(frozen=True)
class Way:
    """One way to keep the record."""

    name: str
    carbon: bool = False
    encrypted: bool = False
    standby: bool = False


WAYS = (
    Way("the record alone"),
    Way("with a carbon", carbon=True),
    Way("encrypted", encrypted=True),
    Way("encrypted, with a carbon", carbon=True, encrypted=True),
)
# What follows asks over the network, so these are measured over HTTP alone.
FOLLOWED = (
    Way("with a second laptop", standby=True),
    Way("with a carbon and a second laptop", carbon=True, standby=True),
)


@dataclass
class Measured:
    """Seconds of single signatures, and the seconds per signature of each turn, flat out."""

    each: list[float]
    turns: list[float]

    @property
    def per_signature(self) -> float:
        return statistics.median(self.turns)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--signatures", type=int, default=400, help="how many a turn")
    parser.add_argument("--turns", type=int, default=3, help="how often each way is measured")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        syncs = sync_seconds(folder)
        writer = {way.name: Measured([], []) for way in WAYS}
        server = {way.name: Measured([], []) for way in (*WAYS, *FOLLOWED)}
        for turn in range(asked.turns):
            # In turns: whatever else the machine does strikes every way alike.
            for way in WAYS:
                _measure(folder / f"{turn}-w", way, asked.signatures, _by_the_writer, writer)
            for way in (*WAYS, *FOLLOWED):
                _measure(folder / f"{turn}-s", way, asked.signatures, _over_http, server)
    console = Console()
    console.print(
        f"{STATIONS} stations, {asked.turns} turns of {asked.signatures} signatures, "
        f"{os.cpu_count()} cores, Python {platform.python_version()}; "
        f"a sync of 4 kB: p50 {percentile(syncs, 0.5) * 1_000:.2f} ms"
    )
    console.print(_table("through the writer, flat out", writer))
    console.print(_table("over HTTP, flat out", server))


def _table(title: str, measured: dict[str, Measured]) -> Table:
    table = Table(title, "p50 ms", "p99 ms", "a second", "times the record alone")
    alone = measured[WAYS[0].name].per_signature
    for name, one in measured.items():
        p50, p99 = (f"{percentile(one.each, share) * 1_000:.2f}" for share in (0.5, 0.99))
        rate, ratio = f"{1 / one.per_signature:.0f}", f"{one.per_signature / alone:.2f}"
        table.add_row(name, p50, p99, rate, ratio)
    return table


def _measure(
    folder: Path,
    way: Way,
    many: int,
    by: Callable[[Day, Path | None, int, Path | None], tuple[list[float], float]],
    into: dict[str, Measured],
) -> None:
    """One turn of one way, on a record of its own."""
    here = folder / way.name.replace(" ", "-").replace(",", "")
    here.mkdir(parents=True)
    stick, second = here / "stick" if way.carbon else None, here / "second"
    for folder_of in ("laptop", "stick", "second"):
        (here / folder_of).mkdir()
    day = make_day(here / "laptop", passphrase=PASSPHRASE if way.encrypted else "")
    each, rate = by(day, stick, many, second if way.standby else None)
    into[way.name].each.extend(each)
    into[way.name].turns.append(1 / rate)


def _by_the_writer(
    day: Day, stick: Path | None, many: int, _: Path | None
) -> tuple[list[float], float]:
    record = sqlite_path(day.url)
    assert record is not None
    copy_to: tuple[MakeCopy, ...] = (carbon_into(stick, record),) if stick else ()
    return through_the_writer(day, many, copy_to)


def _over_http(
    day: Day, stick: Path | None, many: int, second: Path | None
) -> tuple[list[float], float]:
    options = ("--carbon", str(stick)) if stick else ()
    serving = _in_step(second) if second else running
    return through_the_server(day, many, options=options, serving=serving)


def _in_step(second: Path) -> Serving:
    """What is signed while the second laptop is left behind tells nothing of what it costs."""

    @contextmanager
    def serving(day: Day, options: Sequence[str]) -> Iterator[Server]:
        with followed(day, second, options) as first:
            before = standby_told(first)
            yield first
            if standby_told(first) != before:
                raise SystemExit("the second laptop fell out of step meanwhile: measure again")

    return serving


if __name__ == "__main__":
    main()
