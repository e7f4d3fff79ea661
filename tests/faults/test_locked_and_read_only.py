"""The record locked by another program, and a disk that turns read-only: no false yes."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from _running_server import Day, fresh_token, make_day, running, sign_on_paper
from app.records.engine import sqlite_path
from app.records.store import verify_database
from tests.faults.small_disk import NEEDS_MOUNT, day_on, mounted_again, small_disk, turn_read_only
from tests.faults.test_failing_disk import signed_by_token

pytestmark = pytest.mark.survival


@contextmanager
def locked(day: Day) -> Iterator[None]:
    """The write lock held by another program, as a backup tool would hold it."""
    path = sqlite_path(day.url)
    assert path is not None
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


def test_a_record_locked_by_another_program_is_waited_for_and_then_said_to_be_unknown(
    tmp_path: Path,
) -> None:
    day = make_day(tmp_path)
    with running(day) as server:
        server.open_polls()
        with closing(server.station("RM", "Table 1")) as station:
            token = fresh_token()
            with locked(day):
                answer = sign_on_paper(station, day.open_lines[0], token)
                assert answer.status_code == 503, answer.text
                assert answer.json()["code"] == "outcome-unknown"
                assert station.get("/api/day").status_code == 200
            again = sign_on_paper(station, day.open_lines[0], token)
            assert again.status_code == 200, again.text
    assert signed_by_token(day) == {token: again.json()["seq"]}
    assert verify_database(day.url).holds


@NEEDS_MOUNT
def test_a_disk_that_turns_read_only_loses_nothing_and_says_yes_to_nobody(tmp_path: Path) -> None:
    with small_disk(tmp_path) as disk:
        day = day_on(disk)
        acknowledged: dict[str, int] = {}
        with running(day) as server:
            server.open_polls()
            with closing(server.station("RM", "Table 1")) as station:
                for line_id in day.open_lines[:5]:
                    token = fresh_token()
                    acknowledged[token] = sign_on_paper(station, line_id, token).json()["seq"]
                turn_read_only(disk)
                lost = fresh_token()
                for _ in range(3):
                    answer = sign_on_paper(station, day.open_lines[6], lost)
                    assert answer.status_code == 503, answer.text
                    assert answer.json()["what_to_do"]
                assert station.post("/api/find", json={"text": "a"}).status_code == 200
        with mounted_again(disk):
            assert acknowledged.items() <= signed_by_token(day).items()
            assert verify_database(day.url).holds
            with running(day) as server, closing(server.station("RM", "Table 1")) as station:
                answer = sign_on_paper(station, day.open_lines[6], lost)
                assert answer.status_code == 200, answer.text
            assert len(signed_by_token(day)) == 6
