"""Kill the server again and again while stations sign, and see what is left.

    python scripts/kill_server.py --kills 100
    python scripts/kill_server.py --kills 300 --stations 8 --carbon --standby

A station sends a signature with the same key until it has an answer, as the page
does. Afterwards every signature that was acknowledged must stand in the log exactly
once, with the hash of its receipt, and the log must verify. With a carbon the same
must hold for a record that is put together from that file alone at the end; and after every
kill, before the server starts again, all that was acknowledged so far must stand in it. A second
laptop that follows must hold the same once it is in step again after the last kill.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from _running_server import (
    Day,
    Server,
    fresh_token,
    make_day,
    percentile,
    sign_on_paper,
    staffed,
)
from _second_laptop import SecondLaptop, wait_until_in_step
from app.desk.recovering import recover_from_carbon
from app.records import loading, queries
from app.records.clock import SystemClock
from app.records.entry import PROGRAM
from app.records.store import open_store, verify_database
from bench_late_lists import people, setting

STATIONS = 4

# Moments of signing between a start and the next kill, in seconds.
SHORTEST, LONGEST = 0.02, 0.5

# Signatures are spread so that a hundred kills under four stations do not use up the sample's
# register: a server with nothing left to sign is not killed while signing.
PAUSE_SECONDS = 0.06
SAMPLE_LASTS = 100 * STATIONS

# What one station signs at most between two kills.
MOST_BETWEEN_KILLS = round(LONGEST / PAUSE_SECONDS) + 1

# As often as a page with nothing better to do would ask again.
ASK_AGAIN_SECONDS = 0.1


@dataclass
class Kept:
    """What one place has of what was acknowledged. `lost`, `doubled` and `torn` must be 0."""

    lost: int = 0
    doubled: int = 0
    torn: int = 0
    verified: str = ""

    @property
    def holds(self) -> bool:
        return not (self.lost or self.doubled or self.torn) and self.verified == "holds"

    def __str__(self) -> str:
        numbers = f"lost {self.lost}, doubled {self.doubled}, torn {self.torn}"
        return f"{numbers}; verify: {self.verified}"


@dataclass
class Report:
    """What a run came to. `lost`, `doubled` and `torn` must be 0."""

    kills: int
    acknowledged: int = 0
    asked_again: int = 0
    used_up: bool = False
    record: Kept = field(default_factory=Kept)
    carbon: Kept | None = None
    standby: Kept | None = None
    missing_after_kills: int = 0
    start_seconds: list[float] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        places = (self.record, self.carbon, self.standby)
        failures = self.used_up or self.missing_after_kills
        return not failures and all(place.holds for place in places if place)


class Stations:
    """Threads that sign one line after another, asking again until they are answered."""

    def __init__(self, server: Server, lines: Iterator[str], many: int = STATIONS) -> None:
        self.receipts: dict[str, Any] = {}
        self.asked_again = 0
        self._server = server
        self._lines = lines
        self._lock = threading.Lock()
        self._is_over = threading.Event()
        self._clients = [server.station("RM", f"Table {n}") for n in range(1, many + 1)]
        self._threads = [threading.Thread(target=self._sign, args=(c,)) for c in self._clients]

    def start(self) -> None:
        for thread in self._threads:
            thread.start()

    def acknowledged(self) -> list[str]:
        """The keys of what was acknowledged so far."""
        with self._lock:
            return list(self.receipts)

    def finish(self) -> None:
        """Let every station get its last answer, then stop."""
        self._is_over.set()
        for thread in self._threads:
            thread.join()
        for client in self._clients:
            client.close()

    def _sign(self, client: httpx.Client) -> None:
        while not self._is_over.is_set():
            with self._lock:
                line_id = next(self._lines, None)
            if line_id is None:
                return
            token = fresh_token()
            receipt = self._until_answered(client, line_id, token)
            with self._lock:
                self.receipts[token] = receipt
            time.sleep(PAUSE_SECONDS)

    def _until_answered(self, client: httpx.Client, line_id: str, token: str) -> Any:
        while True:
            try:
                answer = sign_on_paper(client, line_id, token)
                if answer.status_code == 200:
                    return answer.json()
                if answer.status_code != 503:
                    raise RuntimeError(f"refused: {answer.text}")
            except httpx.HTTPError:
                pass  # the server is gone: asked again with the same key
            with self._lock:
                self.asked_again += 1
            time.sleep(ASK_AGAIN_SECONDS)


def run(
    day: Day,
    kills: int,
    seed: int,
    stations: int = STATIONS,
    carbon: Path | None = None,
    standby: Path | None = None,
) -> Report:
    """Kill `kills` times at random moments of signing; the last start runs to the end.

    `carbon` is a folder for the second copy, `standby` one for the record of a second laptop.
    """
    chance = random.Random(seed)
    report = Report(kills)
    options = [*(("--carbon", str(carbon)) if carbon else ()), *(("--standby",) if standby else ())]
    server = Server(day, options=options)
    second = _second_laptop(server, standby) if standby else None
    server.start()
    try:
        if second:
            second.start()
            wait_until_in_step(server)
        server.open_polls()
        signing = Stations(server, iter(day.open_lines), stations)
        signing.start()
        for _ in range(kills):
            time.sleep(chance.uniform(SHORTEST, LONGEST))
            server.kill()
            if carbon:
                report.missing_after_kills += _missing(carbon, signing.acknowledged())
            report.start_seconds.append(server.start())
        signing.finish()
        if second:
            wait_until_in_step(server)
    finally:
        server.kill()
        if second:
            second.kill()
        if server.said:
            server.said.close()
    report.asked_again = signing.asked_again
    report.acknowledged = len(signing.receipts)
    report.used_up = len(signing.receipts) >= len(day.open_lines)
    report.record = _kept(day.url, signing.receipts)
    if second:
        report.standby = _kept(second.url, signing.receipts)
    if carbon:
        report.carbon = _kept_in_carbon(carbon, signing.receipts)
    return report


def _second_laptop(server: Server, folder: Path) -> SecondLaptop:
    said = folder / "said.txt"
    server.said = said.open("ab")
    return SecondLaptop(server, said, folder)


def _missing(folder: Path, tokens: list[str]) -> int:
    """How many of these keys do not stand in the carbon as it lies there."""
    (file,) = folder.glob("carbon-*.jsonl")
    there = set(re.findall(r'"token":"([^"]+)"', file.read_text(encoding="utf-8")))
    return sum(token not in there for token in tokens)


def _kept_in_carbon(folder: Path, receipts: dict[str, Any]) -> Kept:
    """Of a copy of the file: the record that comes of it, on a laptop that had none."""
    (file,) = folder.glob("carbon-*.jsonl")
    with tempfile.TemporaryDirectory() as name:
        elsewhere = Path(name)
        shutil.copy(file, elsewhere / file.name)
        url = f"sqlite:///{(elsewhere / 'recovered.db').as_posix()}"
        recover_from_carbon(elsewhere / file.name, url)
        return _kept(url, receipts)


def _kept(url: str, receipts: dict[str, Any]) -> Kept:
    with open_store(url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    signatures = [entry for entry in entries if entry.kind == "signature.recorded"]
    by_token = {entry.token: entry for entry in signatures}
    kept = Kept()
    for token, receipt in receipts.items():
        entry = by_token.get(token)
        if entry is None:
            kept.lost += 1
        elif (entry.seq, entry.hash) != (receipt["seq"], receipt["hash"]):
            kept.torn += 1
    lines = Counter(entry.line_id for entry in signatures)
    kept.doubled = sum(1 for count in lines.values() if count > 1)
    kept.verified = verify_database(url).fault or "holds"
    return kept


def lines_needed(kills: int, stations: int) -> int | None:
    """Of a made-up register; None where the sample's lasts."""
    rounds = kills * stations
    return None if rounds <= SAMPLE_LASTS else rounds * MOST_BETWEEN_KILLS


def make_large_day(folder: Path, many: int) -> Day:
    """A record with `many` made-up lines: the sample's are used up by a hundred kills."""
    url = f"sqlite:///{(folder / 'day.db').as_posix()}"
    key = loading.fresh_line_key()
    lines = loading.identified(people(many, random.Random(407)), {}, key)
    with open_store(url, SystemClock()) as store:
        store.writer.write(
            lambda unit: loading.store(
                unit, PROGRAM, setting=setting(), lines=lines, files={}, line_key=key
            )
        )
    return staffed(url)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=407)
    parser.add_argument("--stations", type=int, default=STATIONS)
    parser.add_argument(
        "--lines", type=int, help="of a made-up register; else as many as are needed"
    )
    parser.add_argument("--standby", action="store_true", help="let a second laptop follow")
    parser.add_argument("--carbon", action="store_true", help="keep a second copy, compare it")
    asked = parser.parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        tempfile.TemporaryDirectory() as stick,
        tempfile.TemporaryDirectory() as second,
    ):
        carbon = Path(stick) if asked.carbon else None
        standby = Path(second) if asked.standby else None
        made = Path(folder)
        lines = asked.lines or lines_needed(asked.kills, asked.stations)
        day = make_large_day(made, lines) if lines else make_day(made)
        report = run(day, asked.kills, asked.seed, asked.stations, carbon, standby)
    print(f"{report.kills} kills under {asked.stations} stations, {os.cpu_count()} cores")
    print(f"signatures acknowledged {report.acknowledged}, asked again {report.asked_again} times")
    print(f"the record: {report.record}")
    if report.carbon:
        print(f"missing in the carbon right after a kill: {report.missing_after_kills}")
        print(f"the record recovered from the carbon: {report.carbon}")
    if report.standby:
        print(f"the record of the second laptop: {report.standby}")
    if report.used_up:
        print("the register was used up before the last kill: ask for more --lines")
    starts = report.start_seconds
    median, worst = percentile(starts, 0.5), max(starts)
    print(f"start to first answer: median {median:.2f} s, worst {worst:.2f} s")
    raise SystemExit(0 if report.holds else 1)


if __name__ == "__main__":
    main()
