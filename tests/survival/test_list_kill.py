"""The server killed while a list is applied: all of it stands or none, and the log verifies."""

from __future__ import annotations

import base64
import random
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import Day, Server, fresh_token, make_day, post
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database

pytestmark = pytest.mark.survival

KILLS = 5


def content_of(day: Day, number: int) -> tuple[str, int]:
    """Everybody who could sign, as a list with bytes of its own."""
    with open_store(day.url, SystemClock()) as store:
        found = store.read(lambda connection: queries.lines_with(connection, day.open_lines))
    rows = [
        f"{of.voter_number},{of.last_name},{of.first_name},{of.birth_date},{number}"
        for of in (line.printed for line in found.values())
        if of.middle_name == "" and "," not in of.last_name
    ]
    text = "\n".join(("voter_number,last_name,first_name,birth_date,ref", *rows))
    return base64.b64encode(text.encode()).decode(), len(rows)


def marks_from(day: Day, name: str) -> int:
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda connection: queries.entries_of(connection, "mark.recorded"))
    return sum(1 for entry in entries if entry.body["source"] == name)


def bring(day: Day, server: Server, number: int) -> tuple[str, int]:
    """A list is brought and not applied; the path that applies it, and its rows."""
    content, rows = content_of(day, number)
    lead = server.station("LO", "Lead's desk")
    body = {"kind": "mail_voted", "name": f"list-{number}.csv", "content_base64": content}
    list_id = post(lead, "/api/late-lists", body).json()["list"]["list_id"]
    lead.close()
    return f"/api/late-lists/{list_id}/apply", rows


def apply(server: Server, path: str, token: str) -> Any:
    """The answer, None where the server went away before it came."""
    lead = server.station("LO", "Lead's desk")
    try:
        return post(lead, path, {}, token).json()
    except httpx.HTTPError:
        return None
    finally:
        lead.close()


def apply_and_kill(server: Server, path: str, token: str, after_seconds: float) -> Any:
    """As `apply`, the server being killed so long after it was asked."""
    lead = server.station("LO", "Lead's desk")
    with ThreadPoolExecutor(1) as asking:
        answer = asking.submit(post, lead, path, {}, token)
        time.sleep(after_seconds)
        server.kill()
        error = answer.exception()
    lead.close()
    if error is not None and not isinstance(error, httpx.HTTPError):
        raise error
    return None if error else answer.result().json()


def test_kills_while_lists_are_applied_leave_all_or_nothing(tmp_path: Path) -> None:
    """The first list tells how long it takes; the others are struck at a moment of that time."""
    day, chance = make_day(tmp_path), random.Random(407)
    server, took, unanswered = Server(day), 0.0, 0
    for number in range(KILLS + 1):
        name, token = f"list-{number}.csv", fresh_token()
        server.start()
        try:
            path, rows = bring(day, server, number)
            if number == 0:
                started = time.perf_counter()
                apply(server, path, token)
                took = time.perf_counter() - started
                continue
            answer = apply_and_kill(server, path, token, chance.uniform(0, took))
            assert verify_database(day.url).holds
            assert marks_from(day, name) in ((rows,) if answer else (0, rows))
            unanswered += answer is None
            server.start()
            done = apply(server, path, token)
            assert (done["tally"]["rows"], done["tally"]["applied"]) == (rows, rows)
        finally:
            server.kill()
        assert marks_from(day, name) == rows
    assert unanswered, "no kill ever struck an unanswered request"
    assert verify_database(day.url).holds
