"""The second copy's device in trouble for real: pulled out, full, read-only; and put back."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import PROJECT, Day, Server, fresh_token, make_day, sign_on_paper
from app.desk.recovering import recover_from_carbon
from app.records import queries
from app.records.carbon_reading import held_by
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.rules.faults import StorageRefused
from tests.faults.small_disk import NEEDS_MOUNT, fill, small_disk

pytestmark = pytest.mark.survival

NAME = "carbon-4-07-2027-03-02.jsonl"
PATIENCE = 60.0


@contextmanager
def serving(day: Day, stick: Path) -> Iterator[Server]:
    server = Server(day, options=("--carbon", str(stick)))
    server.start()
    try:
        yield server
    finally:
        server.kill()


@contextmanager
def at_work(day: Day, stick: Path) -> Iterator[tuple[Server, httpx.Client]]:
    """The polls open, and a table at which somebody is signed on."""
    with serving(day, stick) as server:
        server.open_polls()
        with closing(server.station("RM", "Table 1")) as table:
            yield server, table


def copy_of(server: Server) -> dict[str, Any]:
    """How the server says that its copy stands, as every page is told, signed on or not."""
    (copy,) = httpx.get(f"{server.address}/api/day").json()["copies"]
    return dict(copy)


def until(is_so: Callable[[], object]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.05)


def signed(client: httpx.Client, line_id: str) -> str:
    """Sign, and the key that was acknowledged."""
    token = fresh_token()
    answer = sign_on_paper(client, line_id, token)
    assert answer.status_code == 200, answer.text
    return token


def tokens_in(carbon: Path) -> set[str]:
    return set(re.findall(r'"token":"([^"]+)"', carbon.read_text(encoding="utf-8")))


def kinds_in(day: Day) -> list[str]:
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 1)))
    return [entry.kind for entry in entries if entry.kind.startswith("copy.")]


def must_be_whole(day: Day, carbon: Path, tokens: list[str], folder: Path) -> None:
    """Everything acknowledged stands in the record, and in one recovered from the carbon."""
    recovered = f"sqlite:///{(folder / 'recovered.db').as_posix()}"
    shutil.copy(carbon, folder / carbon.name)
    recover_from_carbon(folder / carbon.name, recovered)
    for url in (day.url, recovered):
        with open_store(url, SystemClock()) as store:
            entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
        assert set(tokens) <= {entry.token for entry in entries}
        assert verify_database(url).holds


def test_a_stick_that_is_pulled_out_and_put_back_with_the_server_running(tmp_path: Path) -> None:
    """A folder moved away and back: what a page sees of it is the same."""
    day, stick = make_day(tmp_path), tmp_path / "stick"
    stick.mkdir()
    with at_work(day, stick) as (server, table):
        tokens = [signed(table, day.open_lines[0])]
        stick.rename(tmp_path / "in-a-pocket")
        tokens.append(signed(table, day.open_lines[1]))
        assert (copy_of(server)["state"], copy_of(server)["why"]) == ("failing", "gone")
        with closing(server.station("LO", "Lead's desk")) as lead:
            needs = lead.get("/api/attention").json()["items"]
        assert "copy-failing" in [item["kind"] for item in needs]
        tokens.append(signed(table, day.open_lines[2]))
        (tmp_path / "in-a-pocket").rename(stick)
        until(lambda: copy_of(server)["state"] == "in-step")
        tokens.append(signed(table, day.open_lines[3]))
        assert set(tokens) <= tokens_in(stick / NAME)
    must_be_whole(day, stick / NAME, tokens, tmp_path)
    assert kinds_in(day) == ["copy.failed", "copy.back"]


@NEEDS_MOUNT
def test_a_file_system_that_is_taken_away_beneath_it(tmp_path: Path) -> None:
    """A lazy unmount: the open file can be written still, and nobody would ever find it."""
    day = make_day(tmp_path)
    with small_disk(tmp_path, 32) as disk, at_work(day, disk) as (server, table):
        tokens = [signed(table, day.open_lines[0])]
        try:
            subprocess.run(["umount", "-l", str(disk)], check=True)
            tokens.append(signed(table, day.open_lines[1]))
            assert copy_of(server)["why"] == "gone"
            time.sleep(5)
            # The empty place where it was mounted is on the record's own disk.
            assert not list(disk.iterdir())
            assert copy_of(server)["state"] == "failing"
        finally:
            image = tmp_path / "disk.img"
            subprocess.run(["mount", "-o", "loop", str(image), str(disk)], check=True)
        until(lambda: copy_of(server)["state"] == "in-step")
        tokens.append(signed(table, day.open_lines[2]))
        carbon = tmp_path / "taken.jsonl"
        shutil.copy(disk / NAME, carbon)
        server.kill()
    must_be_whole(day, carbon, tokens, _made(tmp_path / "elsewhere"))


@NEEDS_MOUNT
def test_served_before_the_stick_is_mounted_and_then_it_is_pulled_out(tmp_path: Path) -> None:
    """The place where it will be mounted is there, on the record's own disk: that is taken for
    the copy at first, and said at the start; once the stick was there, never again.
    """
    day = make_day(tmp_path)
    with small_disk(tmp_path, 32) as disk:
        mount = ["mount", "-o", "loop", str(tmp_path / "disk.img"), str(disk)]
        subprocess.run(["umount", str(disk)], check=True)
        try:
            with at_work(day, disk) as (server, table):
                tokens = [signed(table, day.open_lines[0])]
                assert copy_of(server)["state"] == "in-step"
                beneath = disk / NAME
                subprocess.run(mount, check=True)
                tokens.append(signed(table, day.open_lines[1]))
                until(lambda: copy_of(server)["state"] == "in-step")
                tokens.append(signed(table, day.open_lines[2]))
                subprocess.run(["umount", "-l", str(disk)], check=True)
                before = beneath.read_bytes()
                tokens.append(signed(table, day.open_lines[3]))
                time.sleep(5)
                assert (copy_of(server)["state"], copy_of(server)["why"]) == ("failing", "gone")
                tokens.append(signed(table, day.open_lines[4]))
                assert copy_of(server)["state"] == "failing"
                assert beneath.read_bytes() == before
                subprocess.run(mount, check=True)
                until(lambda: copy_of(server)["state"] == "in-step")
                tokens.append(signed(table, day.open_lines[5]))
                shutil.copy(disk / NAME, tmp_path / "taken.jsonl")
        finally:
            # As `small_disk` left it, so that it has something to take away.
            if not os.path.ismount(disk):
                subprocess.run(mount, check=True)
    must_be_whole(day, tmp_path / "taken.jsonl", tokens, _made(tmp_path / "elsewhere"))


def test_a_file_that_loses_its_end_with_the_server_running(tmp_path: Path) -> None:
    """As of a stick that gives no error and keeps half: said at once, and then written anew."""
    day, stick = make_day(tmp_path), _made(tmp_path / "stick")
    with at_work(day, stick) as (server, table):
        tokens = [signed(table, line_id) for line_id in day.open_lines[:3]]
        os.truncate(stick / NAME, (stick / NAME).stat().st_size - 700)
        tokens.append(signed(table, day.open_lines[3]))
        assert (copy_of(server)["state"], copy_of(server)["why"]) == ("failing", "failed")
        until(lambda: copy_of(server)["state"] == "in-step")
        tokens.append(signed(table, day.open_lines[4]))
        assert set(tokens) <= tokens_in(stick / NAME)
    must_be_whole(day, stick / NAME, tokens, tmp_path)
    assert kinds_in(day) == ["copy.failed", "copy.back"]


@NEEDS_MOUNT
def test_recovered_onto_a_disk_that_is_locked_or_has_no_room(tmp_path: Path) -> None:
    """What is said is of the disk, and not of the carbon; nothing half made is left there."""
    day, stick = make_day(tmp_path), _made(tmp_path / "stick")
    with at_work(day, stick) as (_, table):
        signed(table, day.open_lines[0])
    carbon = stick / NAME
    with small_disk(tmp_path, 32) as disk:
        new = f"sqlite:///{(disk / 'new.db').as_posix()}"
        size = (tmp_path / "day.db").stat().st_size
        # With half as much again its log fits, and it itself not any more.
        for room, why in ((0, "full"), (size // 2, "full"), (size * 3 // 2, "written out whole")):
            filling = fill(disk, room)
            with pytest.raises(StorageRefused, match=why):
                recover_from_carbon(carbon, new)
            filling.unlink()
            assert [path.name for path in disk.glob("new*")] == []
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        with pytest.raises(StorageRefused, match="Read-only"):
            recover_from_carbon(carbon, new)
        subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
        recover_from_carbon(carbon, new)
        assert verify_database(new).holds


@NEEDS_MOUNT
def test_a_stick_that_is_full_and_then_has_room_again(tmp_path: Path) -> None:
    day = make_day(tmp_path)
    with small_disk(tmp_path, 32) as disk, at_work(day, disk) as (server, table):
        filling = fill(disk)
        tokens = []
        for line_id in day.open_lines[:12]:
            tokens.append(signed(table, line_id))
            if copy_of(server)["state"] == "failing":
                break
        assert copy_of(server)["why"] == "full"
        filling.unlink()
        until(lambda: copy_of(server)["state"] == "in-step")
        tokens.append(signed(table, day.open_lines[20]))
        assert set(tokens) <= tokens_in(disk / NAME)
        shutil.copy(disk / NAME, tmp_path / "taken.jsonl")
        server.kill()
    must_be_whole(day, tmp_path / "taken.jsonl", tokens, _made(tmp_path / "elsewhere"))


@NEEDS_MOUNT
def test_a_stick_that_becomes_read_only(tmp_path: Path) -> None:
    day = make_day(tmp_path)
    with small_disk(tmp_path, 32) as disk, at_work(day, disk) as (server, table):
        tokens = [signed(table, day.open_lines[0])]
        # What is open for writing keeps a file system from being remounted read-only, so it is
        # taken out and put back with its write lock on.
        subprocess.run(["umount", "-l", str(disk)], check=True)
        tokens.append(signed(table, day.open_lines[1]))
        until(lambda: copy_of(server)["why"] == "gone")
        mount = ["mount", "-o", "loop,ro", str(tmp_path / "disk.img"), str(disk)]
        until(lambda: subprocess.run(mount, capture_output=True).returncode == 0)
        until(lambda: copy_of(server)["why"] == "read-only")
        assert copy_of(server)["state"] == "failing"
        server.kill()
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    assert set(tokens) <= {entry.token for entry in entries}


@pytest.mark.skipif(os.name == "nt", reason="needs SIGKILL")
def test_killed_while_the_whole_is_written_the_old_file_stands_and_the_next_start_mends_it(
    tmp_path: Path,
) -> None:
    """Struck at six moments between the first byte of the new file and its taking the place."""
    day, stick = make_day(tmp_path), _made(tmp_path / "stick")
    with serving(day, stick) as server:
        server.open_polls()
    before = held_by(stick / NAME)
    struck = 0
    for moment in range(6):
        _write_behind_its_back(day)
        with _starting(day, stick) as process:
            fresh = stick / f"{NAME}.new"
            _wait_for(fresh, process)
            time.sleep(moment * 0.008)
            process.send_signal(signal.SIGKILL)
            process.wait()
        struck += fresh.exists()
        held = held_by(stick / NAME)
        assert held.first == before.first
        assert not held.is_torn
    assert struck, "no kill ever struck while the new file was being written"
    with serving(day, stick) as server:
        assert copy_of(server)["state"] == "in-step"
    assert [path.name for path in stick.iterdir()] == [NAME]
    must_be_whole(day, stick / NAME, [], _made(tmp_path / "elsewhere"))


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _write_behind_its_back(day: Day) -> None:
    """So that the carbon is behind, and a new one has to be written."""
    with open_store(day.url, SystemClock()) as store:
        store.writer.write(lambda unit: unit.now())


@contextmanager
def _starting(day: Day, stick: Path) -> Iterator[subprocess.Popen[bytes]]:
    command = [sys.executable, "-m", "app.cli", "--database", day.url, "serve", "--port", "0"]
    process = subprocess.Popen(
        [*command[:-2], "--port", str(Server(day).port), "--carbon", str(stick)],
        cwd=PROJECT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def _wait_for(fresh: Path, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not fresh.exists() and process.poll() is None and time.monotonic() < deadline:
        pass


def test_a_server_that_starts_without_its_stick_says_so_and_serves(tmp_path: Path) -> None:
    day = make_day(tmp_path)
    with serving(day, tmp_path / "not-there") as server:
        assert copy_of(server)["why"] == "gone"
        server.open_polls()
        with closing(server.station("RM", "Table 1")) as table:
            signed(table, day.open_lines[0])
        _made(tmp_path / "not-there")
        until(lambda: copy_of(server)["state"] == "in-step")
    last = (tmp_path / "not-there" / NAME).read_text(encoding="utf-8").splitlines()[-1]
    assert json.loads(last)["says"]["head"]["seq"] > 1
