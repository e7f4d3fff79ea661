"""Kill the server again and again while stations sign, and see what is left.

    python scripts/kill_server.py --kills 100

A station sends a signature with the same key until it has an answer, as the page
does. Afterwards every signature that was acknowledged must stand in the log exactly
once, with the hash of its receipt, and the log must verify.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from _running_server import Day, Server, fresh_token, make_day, percentile, sign_on_paper
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database

STATIONS = 4

# Moments of signing between a start and the next kill, in seconds.
SHORTEST, LONGEST = 0.02, 0.5

# Signatures are spread so that a hundred kills do not use up the sample's register:
# a server with nothing left to sign is not killed while signing.
PAUSE_SECONDS = 0.06

# As often as a page with nothing better to do would ask again.
ASK_AGAIN_SECONDS = 0.1


@dataclass
class Report:
    """What a run came to. `lost`, `doubled` and `torn` must be 0."""

    kills: int
    acknowledged: int = 0
    asked_again: int = 0
    lost: int = 0
    doubled: int = 0
    torn: int = 0
    used_up: bool = False
    verified: str = ""
    start_seconds: list[float] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        failures = (self.lost, self.doubled, self.torn, self.used_up)
        return not any(failures) and self.verified == "holds"


class Stations:
    """Threads that sign one line after another, asking again until they are answered."""

    def __init__(self, server: Server, lines: Iterator[str]) -> None:
        self.receipts: dict[str, Any] = {}
        self.asked_again = 0
        self._server = server
        self._lines = lines
        self._lock = threading.Lock()
        self._is_over = threading.Event()
        self._clients = [server.station("RM", f"Table {n}") for n in range(1, STATIONS + 1)]
        self._threads = [threading.Thread(target=self._sign, args=(c,)) for c in self._clients]

    def start(self) -> None:
        for thread in self._threads:
            thread.start()

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


def run(day: Day, kills: int, seed: int) -> Report:
    """Kill `kills` times at random moments of signing; the last start runs to the end."""
    chance = random.Random(seed)
    report = Report(kills)
    server = Server(day)
    server.start()
    try:
        server.open_polls()
        stations = Stations(server, iter(day.open_lines))
        stations.start()
        for _ in range(kills):
            time.sleep(chance.uniform(SHORTEST, LONGEST))
            server.kill()
            report.start_seconds.append(server.start())
        stations.finish()
    finally:
        server.kill()
    report.asked_again = stations.asked_again
    report.used_up = len(stations.receipts) >= len(day.open_lines)
    _compare(day, stations.receipts, report)
    return report


def _compare(day: Day, receipts: dict[str, Any], report: Report) -> None:
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    signatures = [entry for entry in entries if entry.kind == "signature.recorded"]
    by_token = {entry.token: entry for entry in signatures}
    report.acknowledged = len(receipts)
    for token, receipt in receipts.items():
        entry = by_token.get(token)
        if entry is None:
            report.lost += 1
        elif (entry.seq, entry.hash) != (receipt["seq"], receipt["hash"]):
            report.torn += 1
    lines = Counter(entry.line_id for entry in signatures)
    report.doubled = sum(1 for count in lines.values() if count > 1)
    report.verified = verify_database(day.url).fault or "holds"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=407)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        report = run(make_day(Path(folder)), asked.kills, asked.seed)
    print(f"{report.kills} kills under {STATIONS} stations, {os.cpu_count()} cores")
    print(f"signatures acknowledged {report.acknowledged}, asked again {report.asked_again} times")
    print(f"lost {report.lost}, doubled {report.doubled}, torn {report.torn}")
    print(f"verify: {report.verified}")
    if report.used_up:
        print("the register was used up before the last kill: ask for fewer kills")
    starts = report.start_seconds
    median, worst = percentile(starts, 0.5), max(starts)
    print(f"start to first answer: median {median:.2f} s, worst {worst:.2f} s")
    raise SystemExit(0 if report.holds else 1)


if __name__ == "__main__":
    main()
