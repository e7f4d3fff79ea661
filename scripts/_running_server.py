"""A real server in a process of its own, over a fresh record, for measuring and for killing."""

from __future__ import annotations

import secrets
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import httpx

from app.desk.loading import load_package
from app.desk.signing_on import add_worker
from app.intake.faults import Faults
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store
from app.records.unlocking import make_slots
from app.rules.line import Act
from app.rules.moment import DayState, Moment
from app.rules.verdict import Outcome, decide
from app.trust.passphrases import SlotKind

PROJECT = Path(__file__).resolve().parent.parent
SAMPLE = PROJECT / "sample_rosters" / "tern-4-07"

PINS = {"RM": "240713", "LO": "907351"}

# A server that has not answered by then will not, also on a machine that does much else.
START_SECONDS = 90.0


@dataclass(frozen=True)
class Day:
    """A loaded record; `open_lines` are the line_ids that need nothing but a signature.

    `passphrase` opens it, where it is encrypted; this process has it open.
    """

    url: str
    open_lines: tuple[str, ...]
    passphrase: str = ""


def make_day(
    folder: Path, package: Path = SAMPLE, passphrase: str = "", url: str | None = None
) -> Day:
    """Load `package` into a new record in `folder` and add a worker and a lead.

    With a passphrase the record is encrypted. `url` is another place than a file in `folder`.
    """
    url = url or f"sqlite:///{(folder / 'day.db').as_posix()}"
    if passphrase:
        make_slots(folder / "day.db", SlotKind.PASSPHRASE, "first", [passphrase])
    loaded = load_package(package, url, SystemClock())
    if isinstance(loaded, Faults):
        raise SystemExit(f"{package} has faults; run: tablebook load {package}")
    return staffed(url, passphrase)


def staffed(url: str, passphrase: str = "") -> Day:
    """A loaded record with a worker and a lead added."""
    with open_store(url, SystemClock()) as store:
        for initials, role in (("RM", "worker"), ("LO", "lead")):
            pin = PINS[initials]
            add_worker(store, name=f"Worker {initials}", initials=initials, role=role, pin=pin)
        setting = store.read(queries.setting)
        lines = store.read(lambda connection: list(queries.all_lines(connection)))
        states = store.read(
            lambda connection: queries.stored_states(connection, [line.line_id for line in lines])
        )
    is_open = Moment(setting, DayState(opened=Act(1, SystemClock().now(), "", "")))
    open_lines = (
        line.line_id
        for line in lines
        if decide(line, states[line.line_id].state, setting.policy, is_open).outcome is Outcome.SIGN
    )
    return Day(url, tuple(open_lines), passphrase)


class Server:
    """A `tablebook serve` that can be killed and started again on the same record.

    `before` is a command that starts it in its turn, to let something fail beneath it;
    `options` are further ones of `serve`.
    """

    def __init__(self, day: Day, before: Sequence[str] = (), options: Sequence[str] = ()) -> None:
        self.day = day
        self._before, self._options = tuple(before), tuple(options)
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._process: subprocess.Popen[bytes] | None = None
        # Where it writes what it says; None: what is wrong to here, the rest nowhere.
        self.said: IO[bytes] | None = None

    def start(self) -> float:
        """Start and wait for the first answer; the seconds that took."""
        started = time.perf_counter()
        command = [*self._before, sys.executable, "-m", "app.cli", "--database", self.day.url]
        if self.day.passphrase:
            command += ["--passphrase-fd", "0"]
        self._process = subprocess.Popen(
            [*command, "serve", "--port", str(self.port), *self._options],
            cwd=PROJECT,
            stdin=subprocess.PIPE,
            stdout=self.said or subprocess.DEVNULL,
            stderr=self.said,
        )
        self._tell_passphrase()
        while True:
            try:
                httpx.get(f"{self.address}/api/day", timeout=1).raise_for_status()
                return time.perf_counter() - started
            except httpx.HTTPError as error:
                has_ended = self._process.poll() is not None
                if has_ended or time.perf_counter() - started > START_SECONDS:
                    raise RuntimeError("the server did not start") from error
                time.sleep(0.02)

    @property
    def pid(self) -> int:
        """Of the process that serves now."""
        if self._process is None:
            raise RuntimeError("the server was not started")
        return self._process.pid

    def _tell_passphrase(self) -> None:
        if self._process and self._process.stdin:
            with self._process.stdin as typed:
                typed.write(f"{self.day.passphrase}\n".encode())

    def kill(self) -> None:
        """SIGKILL (on Windows: TerminateProcess), and wait until it is gone."""
        if self._process:
            self._process.kill()
            self._process.wait()

    def interrupt(self, seconds: float) -> int:
        """SIGINT, as Ctrl-C sends it, and the exit code once it has ended."""
        if self._process is None:
            raise RuntimeError("the server was not started")
        self._process.send_signal(signal.SIGINT)
        return self._process.wait(seconds)

    def station(self, initials: str, name: str) -> httpx.Client:
        """A browser with somebody signed on."""
        client = httpx.Client(base_url=self.address, timeout=10)
        body = {"initials": initials, "pin": PINS[initials], "station": name}
        answer = post(client, "/api/sign-on", body)
        if answer.is_error:
            client.close()
            raise RuntimeError(f"{initials} cannot sign on: {answer.text}")
        return client

    def make_checks(self) -> None:
        """Tick every check that the opening needs."""
        lead = self.station("LO", "Lead's desk")
        for code in lead.get("/api/checklists/opening").raise_for_status().json()["missing"]:
            tick = {"code": code, "passed": True}
            post(lead, "/api/checklists/opening", tick).raise_for_status()
        lead.close()

    def open_polls(self) -> None:
        """Make the checks, as a lead does, and open."""
        self.make_checks()
        lead = self.station("LO", "Lead's desk")
        post(lead, "/api/day/open", {}).raise_for_status()
        lead.close()


@contextmanager
def running(day: Day, options: Sequence[str] = ()) -> Iterator[Server]:
    """A started server; killed at the end, whatever happens."""
    server = Server(day, options=options)
    server.start()
    try:
        yield server
    finally:
        server.kill()


def post(client: httpx.Client, path: str, body: Any, token: str | None = None) -> httpx.Response:
    """A write with its key, a fresh one unless given."""
    return client.post(path, json=body, headers={"Idempotency-Key": token or fresh_token()})


def fresh_token() -> str:
    return secrets.token_urlsafe(24)


def sign_on_paper(client: httpx.Client, line_id: str, token: str) -> httpx.Response:
    return post(client, f"/api/lines/{line_id}/signature", {"how": "paper"}, token)


def percentile(values: list[float], share: float) -> float:
    """The value below which `share` (0 to 1) of `values` lie."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
