"""scripts/start.py with the project's own command: the sample day, served and signed on to."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest

from _setup_demo import SAMPLE, WORKERS, Demo, DemoWorker, load

PROJECT = Path(__file__).resolve().parent.parent.parent
Start = Callable[..., "subprocess.Popen[str]"]
pytestmark = pytest.mark.skipif(os.name == "nt", reason="sends signals as a terminal does")


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """A project with the sample, and its demo loaded by the project's own command."""
    project = tmp_path_factory.mktemp("real") / "a project #1%20"
    shutil.copytree(PROJECT / SAMPLE, project / SAMPLE)
    command = f"import sys; sys.path.insert(0, {str(PROJECT)!r}); from app.cli import main; main()"
    demo = Demo(project, (sys.executable, "-c", command))
    demo.folder.mkdir()
    load(demo)
    return demo


@pytest.fixture
def demo(loaded: Demo, tmp_path: Path) -> Demo:
    """A copy of the loaded demo, to work with."""
    project = tmp_path / "a project #1%20"
    shutil.copytree(loaded.project, project)
    return Demo(project, loaded.command)


def ask(port: int, path: str, body: dict[str, str] | None = None) -> dict[str, object]:
    """One call of the API, as the page would make it."""
    here = f"http://127.0.0.1:{port}"
    headers = {
        "Origin": here,
        "Content-Type": "application/json",
        "Idempotency-Key": secrets.token_hex(16),
    }
    data = json.dumps(body).encode() if body is not None else None
    request = urllib.request.Request(f"{here}{path}", data, headers)
    with urllib.request.urlopen(request, timeout=10) as answer:
        told: dict[str, object] = json.load(answer)
        return told


def sign_on(port: int, worker: DemoWorker) -> dict[str, object]:
    """Sign a worker of the demo on; what the API says of them."""
    who = {"initials": worker.initials, "pin": worker.pin, "station": "Table 1"}
    signed_on = ask(port, "/api/sign-on", who)["worker"]
    assert isinstance(signed_on, dict)
    return signed_on


def wait_until_said(process: subprocess.Popen[str], words: str) -> None:
    assert process.stdout is not None
    assert process.stderr is not None
    for line in process.stdout:
        if words in line:
            return
    raise AssertionError(process.stderr.read())


def test_the_sample_day_is_open_to_every_worker_of_the_demo(start: Start, free_port: int) -> None:
    process = start("--port", free_port)
    wait_until_said(process, "Tablebook is open at")
    election = ask(free_port, "/api/day")["election"]
    assert isinstance(election, dict)
    assert election["id"] == "tern-2027-03-02"
    for worker in WORKERS:
        signed_on = sign_on(free_port, worker)
        assert (signed_on["name"], signed_on["role"]) == (worker.name, worker.role)
    os.killpg(process.pid, signal.SIGINT)
    _, complaints = process.communicate(timeout=15)
    assert (process.returncode, complaints) == (0, "")


def test_a_load_that_is_killed_leaves_no_half_day(start: Start, demo: Demo, free_port: int) -> None:
    shutil.rmtree(demo.folder)
    process = start("--port", free_port)
    filling = demo.loading / demo.database.name
    deadline = time.monotonic() + 30
    while not filling.exists():
        assert time.monotonic() < deadline
        assert process.poll() is None
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    assert not demo.database.exists()
    again = start("--port", free_port)
    wait_until_said(again, "Tablebook is open at")
    assert sign_on(free_port, WORKERS[-1])["initials"] == WORKERS[-1].initials
