"""A power cut at any point of a signing run loses nothing that was acknowledged.

Killing a process shows nothing about durability: the kernel still holds its writes.
So every write and sync of a run is recorded, and the files are rebuilt as they could
stand at many points. The same check must fail for `synchronous=NORMAL` and for a
writer that answers before its commit, or it would prove nothing.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError

from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store
from app.records.verify import verify
from app.rules.faults import TablebookFault
from tests.power_cut.replay import FOLDER, Crash, crashes, read_recording
from tests.power_cut.signing_run import LINES

pytestmark = pytest.mark.power_cut

HERE = Path(__file__).parent
PROJECT = HERE.parent.parent
POINTS = int(os.environ.get("TABLEBOOK_CRASH_POINTS", "1500"))
# Enough to find that something is lost at hundreds of them.
POINTS_OF_MUTANTS = min(POINTS, 400)
SEED = 407
# A replay that found less than this would hardly crash where it matters.
MUTANTS_LOSE = 0.3


@dataclass
class Found:
    """What the crashes of one run came to."""

    points: int = 0
    lost: int = 0
    unreadable: int = 0


@pytest.fixture(scope="session")
def recorder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    compiler = next(filter(None, map(shutil.which, ("cc", "gcc", "clang"))), None)
    if compiler is None or not sys.platform.startswith("linux"):
        pytest.skip("the power-cut replay needs Linux and a C compiler")
    library = tmp_path_factory.mktemp("recorder") / "recorder.so"
    command = [compiler, "-O1", "-shared", "-fPIC", "-o", str(library), str(HERE / "recorder.c")]
    subprocess.run([*command, "-ldl", "-lpthread"], check=True)
    return library


def record(recorder: Path, tmp_path: Path, mutant: str) -> Path:
    """Run the stations under the recorder; answers the recording."""
    folder, recording = tmp_path / FOLDER, tmp_path / "recording"
    folder.mkdir()
    watched = {
        "LD_PRELOAD": str(recorder),
        "RECORDED_FOLDER": str(folder),
        "RECORDING": str(recording),
    }
    subprocess.run(
        [sys.executable, "-m", "tests.power_cut.signing_run", str(folder), mutant],
        cwd=PROJECT,
        env={**os.environ, **watched},
        check=True,
        timeout=120,
    )
    return recording


def replay(recording: Path, tmp_path: Path, points: int = POINTS) -> Found:
    found = Found()
    for crash in crashes(read_recording(recording), points, SEED):
        found.points += 1
        survivors = _survivors(crash, tmp_path / "rebuilt")
        if survivors is None:
            found.unreadable += 1
        elif not set(crash.acknowledged) <= survivors:
            found.lost += 1
    return found


def _survivors(crash: Crash, folder: Path) -> set[str] | None:
    """The tokens in the rebuilt record, None where it does not open or does not verify."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for name, content in crash.files.items():
        (folder / name).write_bytes(content)
    url = f"sqlite:///{(folder / 'day.db').as_posix()}"
    try:
        with open_store(url, SystemClock()) as store:
            entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
            is_whole = not entries or store.read(verify).holds
    except (DBAPIError, TablebookFault):
        return None
    return {entry.token for entry in entries} if is_whole else None


def test_a_power_cut_at_any_point_loses_nothing_acknowledged(
    recorder: Path, tmp_path: Path
) -> None:
    recording = record(recorder, tmp_path, "none")
    last = list(crashes(read_recording(recording), 10**9, SEED))[-1]
    assert len(last.acknowledged) == LINES
    assert replay(recording, tmp_path) == Found(points=POINTS, lost=0, unreadable=0)


@pytest.mark.parametrize("mutant", ["normal", "early"])
def test_the_replay_catches_a_writer_that_is_not_durable(
    recorder: Path, tmp_path: Path, mutant: str
) -> None:
    found = replay(record(recorder, tmp_path, mutant), tmp_path, POINTS_OF_MUTANTS)
    # Where the head beside the record is newer than what is left of it, it does not even open.
    caught = found.lost + found.unreadable
    print(f"{mutant}: lost at {found.lost}, refused at {found.unreadable} of {found.points} points")
    assert caught > MUTANTS_LOSE * found.points
