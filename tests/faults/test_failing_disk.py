"""A disk whose writes and syncs fail now and then: no false yes, no lost yes, no open question.

The faults are put between the server and the kernel by libfiu, at random. What a station does not
know it asks again with the same key, as the page does, until it is told.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest

from _running_server import Day, Server, fresh_token, make_day, sign_on_paper
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database

pytestmark = [
    pytest.mark.survival,
    pytest.mark.skipif(
        shutil.which("fiu-run") is None, reason="needs libfiu (fiu-run), which Debian has"
    ),
    pytest.mark.skipif(sys.platform != "linux", reason="libfiu works on Linux"),
]

# sqlcipher3 syncs with fsync, an SQLite that comes with Python with fdatasync: both are made fail.
POINTS = ("posix/io/sync/fsync", "posix/io/sync/fdatasync", "posix/io/rw/pwrite")
PROBABILITY = 0.02
VOTERS = 150
# Two in a hundred: never this often in a row.
MOST_TRIES = 60


@dataclass
class Asked:
    """What the stations were told: entries of what was acknowledged, by key."""

    acknowledged: dict[str, int] = field(default_factory=dict)
    unknown: int = 0


def let_fail(pid: int, control: Path, verb: str) -> None:
    for point in POINTS:
        chance = f",probability={PROBABILITY}" if verb == "enable_random" else ""
        subprocess.run(
            ["fiu-ctrl", "-f", str(control), "-c", f"{verb} name={point}{chance}", str(pid)],
            check=True,
            timeout=20,
        )


def sign_until_told(client: httpx.Client, line_id: str, asked: Asked) -> None:
    token = fresh_token()
    for _ in range(MOST_TRIES):
        answer = sign_on_paper(client, line_id, token)
        if answer.status_code == 200:
            asked.acknowledged[token] = answer.json()["seq"]
            return
        assert answer.status_code == 503, answer.text
        assert answer.json()["code"] == "outcome-unknown"
        asked.unknown += 1
    raise AssertionError("the station was never told")


@pytest.fixture
def day(tmp_path: Path) -> Day:
    return make_day(tmp_path)


def signed_by_token(day: Day) -> dict[str, int]:
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    return {one.token: one.seq for one in entries if one.kind == "signature.recorded"}


def test_two_in_a_hundred_failing_writes_and_syncs_lose_and_double_nothing(
    day: Day, tmp_path: Path
) -> None:
    control = tmp_path / "control"
    server = Server(day, before=("fiu-run", "-x", "-f", str(control)))
    asked = Asked()
    server.start()
    try:
        server.open_polls()
        with closing(server.station("RM", "Table 1")) as station:
            let_fail(server.pid, control, "enable_random")
            for line_id in day.open_lines[:VOTERS]:
                sign_until_told(station, line_id, asked)
            let_fail(server.pid, control, "disable")
    finally:
        server.kill()
    print(f"{len(asked.acknowledged)} acknowledged, {asked.unknown} times not known")
    assert asked.unknown > 0, "no fault came: nothing was shown"
    assert signed_by_token(day) == asked.acknowledged
    assert verify_database(day.url).holds
