"""The disk has little room left: long lists and packages wait, signing and short lists go on."""

from __future__ import annotations

import base64
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import (
    PROJECT,
    SAMPLE,
    Day,
    fresh_token,
    post,
    running,
    sign_on_paper,
)
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from tests.faults.small_disk import MEGABYTE, NEEDS_MOUNT, day_on, fill, small_disk

pytestmark = [pytest.mark.survival, NEEDS_MOUNT]


def list_of(day: Day, many: int) -> dict[str, Any]:
    """A list of the last people of the register: the first ones sign."""
    with open_store(day.url, SystemClock()) as store:
        lines = [line.printed for line in store.read(lambda c: list(queries.all_lines(c)))]
    rows = [
        f"{one.voter_number},{one.last_name},{one.first_name},{one.birth_date}"
        for one in lines[-many:]
    ]
    content = "\n".join(("Voter number,Last name,First name,Birth date", *rows)).encode()
    return {
        "kind": "mail_voted",
        "name": f"mail-{many}.csv",
        "content_base64": base64.b64encode(content).decode(),
    }


def head(lead: httpx.Client) -> int:
    return int(lead.get("/api/log", params={"limit": 1}).json()["head"]["seq"])


def test_a_long_list_is_refused_while_signing_and_short_lists_go_on_and_taken_with_room(
    tmp_path: Path,
) -> None:
    with small_disk(tmp_path, megabytes=96) as disk:
        day = day_on(disk)
        long, short = list_of(day, 150), list_of(day, 20)
        with running(day) as server:
            server.open_polls()
            filling = fill(disk, leaving=30 * MEGABYTE)
            with (
                closing(server.station("LO", "Lead's desk")) as lead,
                closing(server.station("RM", "Table 1")) as table,
            ):
                before = head(lead)
                refused = post(lead, "/api/late-lists", long)
                assert (refused.status_code, refused.json()["code"]) == (507, "disk-nearly-full")
                assert 20 < refused.json()["most_rows"] < 150
                assert "Remove or move files" in refused.json()["what_to_do"]
                assert head(lead) == before
                assert lead.get("/api/late-lists").json()["lists"] == []
                applied(lead, short)
                for line_id in day.open_lines[:10]:
                    assert sign_on_paper(table, line_id, fresh_token()).status_code == 200
                filling.unlink()
                # 80 MB: of a small disk never more than it has; there is room for 150 rows.
                applied(lead, long)
        assert verify_database(day.url).holds


def applied(lead: httpx.Client, list_: dict[str, Any]) -> None:
    brought = post(lead, "/api/late-lists", list_)
    assert brought.status_code == 200, brought.text
    done = post(lead, f"/api/late-lists/{brought.json()['list']['list_id']}/apply", {})
    assert done.status_code == 200, done.text


def test_a_package_is_not_loaded_onto_it_and_the_command_says_what_to_do(tmp_path: Path) -> None:
    with small_disk(tmp_path) as disk:
        url = f"sqlite:///{(disk / 'day.db').as_posix()}"
        command = [sys.executable, "-m", "app.cli", "--database", url, "load", str(SAMPLE)]
        done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True)
        assert done.returncode == 1
        assert "fewer than 500 MB are free" in done.stderr
        assert "--database" in done.stderr
        assert not list(disk.glob("day.db*"))
