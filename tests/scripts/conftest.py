"""A project with nothing in it but a sample, ports, and a start.py that calls a stand-in."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from _setup_demo import SAMPLE, Demo, load, sole_use

HERE = Path(__file__).resolve().parent
Start = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture
def demo(tmp_path: Path) -> Demo:
    """A demo of a project in a folder whose name has a space and signs of URLs."""
    project = tmp_path / "a project #1%20"
    (project / SAMPLE).mkdir(parents=True)
    return Demo(project, (sys.executable, str(HERE / "stand_in.py")))


@pytest.fixture
def begun_demo(demo: Demo) -> Demo:
    """A demo that somebody has worked with already."""
    with sole_use(demo):
        load(demo)
    demo.database.write_text("a morning's work\n", encoding="utf-8")
    return demo


@pytest.fixture
def taken_port() -> Iterator[int]:
    """A port that somebody listens on."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


@pytest.fixture
def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port


@pytest.fixture
def start(demo: Demo) -> Iterator[Start]:
    """Start start.py on the demo with these arguments; what still runs ends with the test."""
    running: list[subprocess.Popen[str]] = []

    def start_with(*arguments: object, **settings: str) -> subprocess.Popen[str]:
        script = [sys.executable, "-u", str(HERE / "start_anywhere.py")]
        process = subprocess.Popen(
            [*script, str(demo.project), json.dumps(demo.command), *map(str, arguments)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, **settings},
            # A group of its own, as a terminal gives it: Ctrl-C reaches all of it.
            start_new_session=True,
        )
        running.append(process)
        return process

    yield start_with
    for process in running:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
