"""scripts/start.py with a stand-in for the project's command: the demo, the port, the endings."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from _setup_demo import WORKERS, Demo, sole_use
from _setup_serve import refuse_taken_port
from _setup_start import read_options
from _setup_words import Refusal

SCRIPTS = Path(__file__).resolve().parent.parent.parent / "scripts"
Start = Callable[..., "subprocess.Popen[str]"]
needs_a_terminal = pytest.mark.skipif(os.name == "nt", reason="sends signals as a terminal does")


def calls(demo: Demo) -> list[str]:
    """How the project's command was called, oldest first."""
    file = demo.project / "calls.txt"
    return file.read_text("utf-8").splitlines() if file.exists() else []


def read_until_open(process: subprocess.Popen[str]) -> str:
    """What start.py prints until it says that the page can be opened, and the workers below it."""
    assert process.stdout is not None
    lines = []
    for line in process.stdout:
        lines.append(line)
        if "--fresh" in line:
            return "".join(lines)
    assert process.stderr is not None
    raise AssertionError("".join(lines) + process.stderr.read())


def everything_in(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


@needs_a_terminal
def test_the_first_start_loads_the_day_and_says_where_it_is_and_who_may_sign_on(
    start: Start, demo: Demo, free_port: int
) -> None:
    words = read_until_open(start("--port", free_port))
    assert f"http://127.0.0.1:{free_port}/" in words
    assert "for this demo only" in words
    assert all(worker.name in words and worker.pin in words for worker in WORKERS)
    with socket.create_connection(("127.0.0.1", free_port), timeout=5):
        pass
    filling = "sqlite:///.demo/loading/tablebook.db"
    added = "worker add --name {0.name} --initials {0.initials} --role {0.role} --pin-stdin {0.pin}"
    assert calls(demo) == [
        f"{filling} load sample_rosters/tern-4-07",
        *(f"{filling} {added.format(worker)}" for worker in WORKERS),
        f"sqlite:///.demo/tablebook.db serve --port {free_port}",
    ]


def test_the_workers_of_the_demo_cover_every_role() -> None:
    assert {worker.role for worker in WORKERS} == {"worker", "lead", "registrar"}
    assert len({worker.pin for worker in WORKERS}) == len(WORKERS)


@needs_a_terminal
def test_ctrl_c_ends_the_server_too_and_says_nothing(start: Start, free_port: int) -> None:
    process = start("--port", free_port)
    read_until_open(process)
    os.killpg(process.pid, signal.SIGINT)
    _, complaints = process.communicate(timeout=15)
    assert (process.returncode, complaints) == (0, "")
    refuse_taken_port(free_port)


@needs_a_terminal
def test_ending_start_py_alone_ends_the_server_too(start: Start, free_port: int) -> None:
    process = start("--port", free_port)
    read_until_open(process)
    process.terminate()
    _, complaints = process.communicate(timeout=15)
    assert (process.returncode, complaints) == (0, "")
    refuse_taken_port(free_port)


@needs_a_terminal
def test_the_next_start_goes_on_with_the_same_day(
    start: Start, begun_demo: Demo, free_port: int
) -> None:
    loaded = len(calls(begun_demo))
    read_until_open(start("--port", free_port))
    assert begun_demo.database.read_text("utf-8") == "a morning's work\n"
    assert [call.split()[1] for call in calls(begun_demo)[loaded:]] == ["serve"]


def test_fresh_starts_the_day_over_and_keeps_the_old_one_aside(
    start: Start, begun_demo: Demo, free_port: int
) -> None:
    (begun_demo.folder / "tablebook.carbon").touch()
    process = start("--fresh", "--no-serve", "--port", free_port)
    process.communicate(timeout=15)
    assert process.returncode == 0
    assert begun_demo.database.read_text("utf-8") == "loaded\n"
    assert everything_in(begun_demo.previous) == [
        "tablebook.carbon",
        "tablebook.db",
        "tablebook.db-wal",
    ]
    assert (begun_demo.previous / "tablebook.db").read_text("utf-8") == "a morning's work\n"
    assert not (begun_demo.folder / "tablebook.carbon").exists()


def test_without_serving_the_day_is_loaded_and_nothing_listens(start: Start, demo: Demo) -> None:
    words, _ = start("--no-serve").communicate(timeout=15)
    assert "The demo is loaded" in words
    assert demo.database.exists()
    assert not any(" serve " in call for call in calls(demo))


@pytest.mark.parametrize("options", [[], ["--fresh"], ["--fresh", "--no-serve"]])
def test_a_taken_port_is_refused_in_one_line_before_anything_is_changed(
    start: Start, demo: Demo, taken_port: int, options: list[str]
) -> None:
    before = everything_in(demo.project)
    process = start("--port", taken_port, *options)
    words, complaint = process.communicate(timeout=15)
    assert process.returncode == 1
    assert complaint.startswith(f"Port {taken_port} is taken")
    assert complaint.count("\n") == 1
    assert words == ""
    assert everything_in(demo.project) == before


def test_the_real_start_py_refuses_a_taken_port_and_says_which_one_is_free(
    taken_port: int,
) -> None:
    done = subprocess.run(
        [sys.executable, SCRIPTS / "start.py", "--port", str(taken_port)],
        capture_output=True,
        text=True,
        timeout=15,
    )
    assert done.returncode == 1
    assert done.stdout == ""
    proposed = done.stderr.rstrip().rpartition("--port ")[2].rstrip(".")
    refuse_taken_port(int(proposed))


@needs_a_terminal
def test_a_second_start_on_another_port_leaves_the_day_to_the_first(
    start: Start, demo: Demo, free_port: int
) -> None:
    read_until_open(start("--port", free_port))
    second = start("--port", free_port + 1 if free_port < 65535 else free_port - 1, "--fresh")
    words, complaint = second.communicate(timeout=15)
    assert second.returncode == 1
    assert complaint.startswith("The demo is being served already")
    assert words == ""
    assert not demo.previous.exists()


@needs_a_terminal
def test_a_server_that_outlives_a_killed_start_keeps_the_day_to_itself(
    start: Start, demo: Demo, free_port: int
) -> None:
    process = start("--port", free_port)
    read_until_open(process)
    process.kill()
    process.wait()
    with pytest.raises(Refusal, match="served already"), sole_use(demo):
        pass
    os.killpg(process.pid, signal.SIGKILL)


@pytest.mark.parametrize("command", ["load", "worker"])
def test_a_load_that_fails_leaves_no_half_day(start: Start, demo: Demo, command: str) -> None:
    process = start("--no-serve", STAND_IN_FAILS=command)
    _, complaint = process.communicate(timeout=15)
    assert process.returncode == 1
    assert complaint == (
        f"it would not\nLoading the sample stopped at `tablebook {command}` (see above).\n"
    )
    assert not demo.database.exists()
    start("--no-serve").communicate(timeout=15)
    assert demo.database.read_text("utf-8") == "loaded\n"
    assert not demo.loading.exists()


def test_a_fresh_load_that_fails_keeps_the_day_that_stands(start: Start, begun_demo: Demo) -> None:
    process = start("--fresh", "--no-serve", STAND_IN_FAILS="worker")
    process.communicate(timeout=15)
    assert process.returncode == 1
    assert begun_demo.database.read_text("utf-8") == "a morning's work\n"


def test_a_disk_that_fills_while_loading_is_told_in_one_line(start: Start) -> None:
    process = start("--no-serve", STAND_IN_FAILS="load", STAND_IN_WORDS="database or disk is full")
    _, complaint = process.communicate(timeout=15)
    assert process.returncode == 1
    assert complaint.splitlines()[-1].startswith("The disk is full")


def test_a_server_that_does_not_start_is_told_with_a_way_out(start: Start, free_port: int) -> None:
    process = start("--port", free_port, STAND_IN_FAILS="serve", STAND_IN_WORDS="unknown schema")
    _, complaint = process.communicate(timeout=15)
    assert process.returncode == 1
    assert complaint.startswith("unknown schema\nThe server did not start")
    assert "--fresh" in complaint


def test_a_project_without_its_sample_is_refused_in_one_line(start: Start, demo: Demo) -> None:
    (demo.project / "sample_rosters" / "tern-4-07").rmdir()
    _, complaint = start("--no-serve").communicate(timeout=15)
    assert complaint == "sample_rosters/tern-4-07 is missing: fetch the project again, whole.\n"


@pytest.mark.parametrize("port", ["0", "65536", "http", "-1", "٣"])
def test_something_that_is_no_port_is_refused(
    port: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        read_options([f"--port={port}"])
    assert "a port is a number from 1 to 65535" in capsys.readouterr().err
