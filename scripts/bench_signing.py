"""How fast eight stations sign over HTTP, beside what the disk and SQLite alone can do.

    python scripts/bench_signing.py

In one run and on one disk: the time of a bare sync, commits per second of bare
SQLite with the same pragmas, signatures per second through the writer without HTTP,
and through the whole server. The latter are given as shares of bare SQLite.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

import httpx
from rich.console import Console
from rich.table import Table
from sqlalchemy import text

from _running_server import (
    Day,
    Server,
    fresh_token,
    make_day,
    percentile,
    running,
    sign_on_paper,
)
from app.desk.outcomes import Recorded
from app.desk.roster import open_roster
from app.desk.signing import Signature, sign
from app.records.bodies import DayOpened
from app.records.copies import MakeCopy
from app.records.engine import open_for_writing
from app.records.entry import Actor

# Starts a server over a day, with further options of `serve`, and ends it.
Serving = Callable[[Day, Sequence[str]], AbstractContextManager[Server]]

STATIONS = 8

# Flat out, eight stations and the server fight for the same cores; a table that signs a
# voter every tenth of a second is still fifty times busier than any real one.
PACED_SIGNATURES, PACE_SECONDS = 240, 0.1
SYNCS = 200
BARE_COMMITS = 400

# About what one entry of the log weighs.
ROW = "x" * 700

ACTOR = Actor("bench", "RM", "Table 1")


def sync_seconds(folder: Path) -> list[float]:
    """The time of each of SYNCS small appends made durable."""
    times = []
    with (folder / "probe").open("ab", buffering=0) as file:
        for _ in range(SYNCS):
            started = time.perf_counter()
            file.write(b"x" * 4096)
            os.fsync(file.fileno())
            times.append(time.perf_counter() - started)
    return times


def bare_commits(folder: Path) -> float:
    """Commits per second of one client that inserts one row a transaction."""
    engine = open_for_writing(f"sqlite:///{(folder / 'bare.db').as_posix()}")
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE bare (seq INTEGER PRIMARY KEY, row TEXT)"))
    raw = engine.raw_connection()
    cursor = raw.cursor()
    started = time.perf_counter()
    for _ in range(BARE_COMMITS):
        cursor.execute("BEGIN IMMEDIATE")
        cursor.execute("INSERT INTO bare (row) VALUES (?)", (ROW,))
        cursor.execute("COMMIT")
    seconds = time.perf_counter() - started
    raw.close()
    engine.dispose()
    return BARE_COMMITS / seconds


def in_stations(
    work: Callable[[int, str], float], lines: Sequence[str]
) -> tuple[list[float], float]:
    """Run `work(station, line)` over the lines in STATIONS threads.

    The seconds of each, and how many were done a second.
    """
    times: list[list[float]] = [[] for _ in range(STATIONS)]

    def station(number: int) -> None:
        for line_id in lines[number::STATIONS]:
            times[number].append(work(number, line_id))

    threads = [threading.Thread(target=station, args=(number,)) for number in range(STATIONS)]
    started = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - started
    return [one for some in times for one in some], len(lines) / seconds


def through_the_writer(
    day: Day, many: int, copy_to: Sequence[MakeCopy] = ()
) -> tuple[list[float], float]:
    """Signatures through rules, log and writer, without HTTP."""
    with open_roster(day.url, copy_to=copy_to) as roster:
        roster.store.writer.write(lambda unit: unit.append(ACTOR, fresh_token(), DayOpened()))

        def one(_: int, line_id: str) -> float:
            started = time.perf_counter()
            outcome = roster.store.writer.write(
                lambda unit: sign(unit, roster, ACTOR, fresh_token(), line_id, Signature("paper"))
            )
            assert isinstance(outcome, Recorded)
            return time.perf_counter() - started

        return in_stations(one, day.open_lines[:many])


def through_the_server(
    day: Day,
    many: int,
    pace_seconds: float = 0.0,
    options: Sequence[str] = (),
    serving: Serving = running,
) -> tuple[list[float], float]:
    """Signatures as a page makes them; each station rests `pace_seconds` between two.

    `options` are further ones of `serve`.
    """
    chance = random.Random(many)  # or the stations would all sign in the same instant
    with serving(day, options) as server:
        server.open_polls()
        clients = [server.station("RM", f"Table {n + 1}") for n in range(STATIONS)]

        def one(number: int, line_id: str) -> float:
            started = time.perf_counter()
            answer: httpx.Response = sign_on_paper(clients[number], line_id, fresh_token())
            seconds = time.perf_counter() - started
            assert answer.status_code == 200, answer.text
            time.sleep(pace_seconds * chance.uniform(0.5, 1.5))
            return seconds

        done = in_stations(one, day.open_lines[:many])
        for client in clients:
            client.close()
        return done


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--signatures", type=int, default=800, help="how many a measurement")
    many = parser.parse_args().signatures
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "writer").mkdir()
        (folder / "server").mkdir()
        (folder / "paced").mkdir()
        syncs = sync_seconds(folder)
        bare = bare_commits(folder)
        writer = through_the_writer(make_day(folder / "writer"), many)
        server = through_the_server(make_day(folder / "server"), many)
        paced = through_the_server(make_day(folder / "paced"), PACED_SIGNATURES, PACE_SECONDS)
    console = Console()
    console.print(
        f"{STATIONS} stations, {many} signatures, {os.cpu_count()} cores, "
        f"Python {platform.python_version()}; stations and server share the cores"
    )
    table = Table("", "p50 ms", "p99 ms", "a second", "share of bare SQLite")
    table.add_row("sync of 4 kB", *_milliseconds(syncs), "", "")
    table.add_row("bare SQLite, one client", "", "", f"{bare:.0f}", "1.00")
    for label, (times, rate) in (
        ("through the writer, flat out", writer),
        ("over HTTP, flat out", server),
        ("over HTTP, ten a second each", paced),
    ):
        table.add_row(label, *_milliseconds(times), f"{rate:.0f}", f"{rate / bare:.2f}")
    console.print(table)


def _milliseconds(seconds: list[float]) -> tuple[str, str]:
    return tuple(f"{percentile(seconds, share) * 1_000:.2f}" for share in (0.5, 0.99))  # type: ignore[return-value]


if __name__ == "__main__":
    main()
