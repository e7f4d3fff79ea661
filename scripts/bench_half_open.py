"""How long a joined station waits while somebody holds three hundred connections half open.

    python scripts/bench_half_open.py

From one other address of this machine: half of the connections say nothing at all, half begin
TLS and then stop in the middle of a request. Whatever the server cuts off is opened again at
once. A joined station meanwhile finds, opens and asks for the day; the same without the
attacker, in the same run, stands beside it.
"""

from __future__ import annotations

import argparse
import selectors
import socket
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import httpx
from rich.console import Console
from rich.table import Table

from _hall import LAPTOP, Hall, can_have, hall_of
from _running_server import make_day, percentile, post

STATION, ATTACKER = "127.0.0.4", "127.0.0.66"
ROUNDS = 400
# A worker at a table asks about as often.
PACE_SECONDS = 0.02


class HalfOpen:
    """Holds `wanted` connections open, and opens another for each that is cut off."""

    def __init__(self, hall: Hall, wanted: int) -> None:
        self._hall, self._wanted = hall, wanted
        self._held = selectors.DefaultSelector()
        self._must_stop = threading.Event()
        self.opened = self.cut_off = 0
        self._thread = threading.Thread(target=self._run)

    @contextmanager
    def going_on(self) -> Iterator[HalfOpen]:
        self._thread.start()
        try:
            yield self
        finally:
            self._must_stop.set()
            self._thread.join()

    def _run(self) -> None:
        while not self._must_stop.is_set():
            for _ in range(min(20, self._wanted - len(self._held.get_map()))):
                self._open()
            for key, _ in self._held.select(0.05):
                self._look(key.fileobj)
        for key in list(self._held.get_map().values()):
            self._drop(key.fileobj)
        self._held.close()

    def _open(self) -> None:
        with suppress(OSError):
            self.opened += 1
            if self.opened % 2:
                connection = self._hall.plain_connection(ATTACKER)
            else:
                connection = self._hall.connection(ATTACKER)
                connection.sendall(b"POST /api/find HTTP/1.1\r\nHost: x\r\nContent-Le")
            connection.setblocking(False)
            self._held.register(connection, selectors.EVENT_READ)

    def _look(self, connection: object) -> None:
        """Nothing is ever answered to these: what can be read is the end."""
        assert isinstance(connection, socket.socket)
        try:
            if connection.recv(4096):
                return
        except (BlockingIOError, TimeoutError):
            return
        except OSError as error:
            if "did not complete" in str(error):
                return
        self.cut_off += 1
        self._drop(connection)

    def _drop(self, connection: object) -> None:
        assert isinstance(connection, socket.socket)
        self._held.unregister(connection)
        connection.close()


def waits(client: httpx.Client, lines: tuple[str, ...]) -> list[float]:
    """Seconds that each answer took."""
    found = []
    for number in range(ROUNDS):
        started = time.perf_counter()
        if number % 3 == 0:
            answer = post(client, "/api/find", {"text": "marchb p"})
        elif number % 3 == 1:
            answer = client.get("/api/day")
        else:
            answer = client.post(f"/api/lines/{lines[number % 50]}/check", json={"evidence": {}})
        found.append(time.perf_counter() - started)
        if answer.is_error:
            raise SystemExit(f"{answer.request.url}: {answer.status_code}")
        time.sleep(PACE_SECONDS)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--connections", type=int, default=300)
    wanted = parser.parse_args().connections
    if not can_have(LAPTOP, STATION, ATTACKER):
        raise SystemExit(f"this system has no {LAPTOP} and its neighbours; nothing was measured")
    shown = Table("a joined station's answers", "median ms", "p99 ms", "longest ms", box=None)
    with tempfile.TemporaryDirectory() as folder:
        day = make_day(Path(folder))
        with hall_of(day) as hall, closing(hall.joined(STATION, "Table 2")) as client:
            waits(client, day.open_lines)  # warm
            show(shown, "alone", waits(client, day.open_lines))
            with HalfOpen(hall, wanted).going_on() as attack:
                time.sleep(3)
                show(shown, f"beside {wanted} half open", waits(client, day.open_lines))
            told = sum(one["count"] for one in hall.refused() if one["refused"] == "too-many")
    console = Console()
    console.print(shown)
    console.print(
        f"{attack.opened:,} connections were opened, {attack.cut_off:,} of them cut off; "
        f"the lead was shown {told:,} refusals"
    )


def show(shown: Table, what: str, seconds: list[float]) -> None:
    figures = (percentile(seconds, 0.5), percentile(seconds, 0.99), max(seconds))
    shown.add_row(what, *(f"{1_000 * each:.0f}" for each in figures))


if __name__ == "__main__":
    main()
