"""Two hundred joined stations at once: what each waits for the day, a find, a signature.

    python scripts/bench_stations.py [--stations 200] [--seconds 30]

Each has an address of its own, its live stream open, asks how the day stands as often as the
page does, and now and then finds somebody and signs them. Server and stations share this machine.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import tempfile
import time
from collections import Counter, defaultdict
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

from rich.console import Console
from rich.table import Table

from _hall import LAPTOP, Hall, can_have, hall_of
from _running_server import fresh_token, make_day, percentile
from app.records.store import verify_database

# As the page asks (frontend/acts/day.js); a busy table signs somebody every half minute.
DAY_EVERY_SECONDS = 0.8
VOTER_EVERY_SECONDS = 30.0
TYPED = ("marchb p", "fairw", "oakes j", "whit", "3/4/1987", "smi")


@dataclass
class Measured:
    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    statuses: Counter[tuple[str, int]] = field(default_factory=Counter)
    told: int = 0


class Station:
    """One browser, as bare as can be: this machine has to be all of them at once."""

    def __init__(self, hall: Hall, number: int, measured: Measured) -> None:
        self._hall, self._measured = hall, measured
        self.address = f"127.1.{number // 200}.{1 + number % 200}"
        with closing(hall.joined(self.address, f"Table {number + 1}")) as client:
            self._cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())

    async def work(self, seconds: float, lines: list[str]) -> None:
        listening = asyncio.create_task(self._listen())
        reader, writer = await self._connect()
        ends = time.monotonic() + seconds
        voter_at = time.monotonic() + random.uniform(0, VOTER_EVERY_SECONDS)
        while (begun := time.monotonic()) < ends:
            await self._ask(reader, writer, "day", "GET", "/api/day")
            if begun >= voter_at and lines:
                voter_at = begun + VOTER_EVERY_SECONDS
                await self._serve_a_voter(reader, writer, lines.pop())
            await asyncio.sleep(max(0.0, begun + DAY_EVERY_SECONDS - time.monotonic()))
        await _closed(writer)
        listening.cancel()
        with suppress(asyncio.CancelledError):
            await listening

    async def sign(self, line: str) -> None:
        """That one line, on a connection of its own."""
        reader, writer = await self._connect()
        await self._sign(reader, writer, line)
        await _closed(writer)

    async def _serve_a_voter(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, line: str
    ) -> None:
        typed = {"text": random.choice(TYPED)}
        await self._ask(reader, writer, "find", "POST", "/api/find", typed)
        await self._ask(reader, writer, "line", "GET", f"/api/lines/{line}")
        await self._sign(reader, writer, line)

    async def _sign(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, line: str
    ) -> None:
        path = f"/api/lines/{line}/signature"
        await self._ask(reader, writer, "signature", "POST", path, {"how": "paper"})

    async def _connect(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        return await asyncio.open_connection(
            LAPTOP,
            self._hall.port,
            ssl=self._hall.tls,
            server_hostname=LAPTOP,
            local_addr=(self.address, 0),
        )

    async def _listen(self) -> None:
        reader, writer = await self._connect()
        try:
            writer.write(self._request("GET", "/api/log/live", b""))
            while line := await reader.readline():
                self._measured.told += line.startswith(b"event: entry")
        finally:
            await _closed(writer)

    async def _ask(
        self,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
        what: str,
        method: str,
        path: str,
        body: object = None,
    ) -> None:
        sent = json.dumps(body).encode() if body is not None else b""
        started = time.perf_counter()
        writer.write(self._request(method, path, sent))
        status = int((await reader.readline()).split()[1])
        length = 0
        while (line := await reader.readline()) != b"\r\n":
            if line.lower().startswith(b"content-length:"):
                length = int(line.split(b":")[1])
        await reader.readexactly(length)
        self._measured.seconds[what].append(time.perf_counter() - started)
        self._measured.statuses[what, status] += 1

    def _request(self, method: str, path: str, body: bytes) -> bytes:
        lines = [
            f"{method} {path} HTTP/1.1",
            f"Host: {LAPTOP}:{self._hall.port}",
            "User-Agent: Browser/1",
            f"Cookie: {self._cookies}",
        ]
        if body:
            lines += [
                "Content-Type: application/json",
                f"Content-Length: {len(body)}",
                f"Idempotency-Key: {fresh_token()}",
            ]
        return "\r\n".join([*lines, "", ""]).encode() + body


async def _closed(writer: asyncio.StreamWriter) -> None:
    writer.close()
    with suppress(OSError):
        await writer.wait_closed()


async def all_at_once(stations: list[Station], seconds: float, lines: list[str]) -> None:
    await asyncio.gather(*(station.work(seconds, lines) for station in stations))


def cpu_seconds(pid: int) -> float:
    """The time that a process has computed so far (proc(5): fields 14 and 15)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--stations", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=30)
    options = parser.parse_args()
    if not can_have(LAPTOP, "127.1.0.1"):
        raise SystemExit(f"this system has no {LAPTOP} and its neighbours; nothing was measured")
    console, measured = Console(), Measured()
    with tempfile.TemporaryDirectory() as folder:
        day = make_day(Path(folder))
        with hall_of(day) as hall:
            begun = time.monotonic()
            stations = [Station(hall, number, measured) for number in range(options.stations)]
            joined = time.monotonic() - begun
            before = cpu_seconds(hall.server.pid)
            asyncio.run(all_at_once(stations, options.seconds, list(day.open_lines)))
            used = cpu_seconds(hall.server.pid) - before
        holds = verify_database(day.url).holds
    shown = Table("answer", "how many", "median ms", "p99 ms", "longest ms", box=None)
    for what, seconds in measured.seconds.items():
        figures = (percentile(seconds, 0.5), percentile(seconds, 0.99), max(seconds))
        shown.add_row(what, f"{len(seconds):,}", *(f"{1_000 * each:.0f}" for each in figures))
    console.print(f"{options.stations} stations joined and signed on in {joined:.0f} s")
    console.print(shown)
    console.print(
        f"the server itself worked {used:.1f} s of the {options.seconds:.0f}, and this machine's "
        f"load was {os.getloadavg()[0]:.0f} on {os.cpu_count()} cores"
    )
    console.print(f"told live: {measured.told:,}; the log {'holds' if holds else 'DOES NOT HOLD'}")
    console.print({f"{what} {status}": n for (what, status), n in measured.statuses.items()})


if __name__ == "__main__":
    main()
