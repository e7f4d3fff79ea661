"""Two servers on one PostgreSQL: one is killed while both sign, and the other one goes on."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path

import httpx
import pytest

from _running_server import Server, fresh_token, make_day, running, sign_on_paper
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database

pytestmark = pytest.mark.survival

LINES_EACH, BEFORE_THE_KILL = 150, 30


class Table:
    """A station that signs its lines one after the other, and keeps what it was told."""

    def __init__(self, server: Server, name: str, lines: Sequence[str]) -> None:
        self.client = server.station("RM", name)
        self.tokens = {line_id: fresh_token() for line_id in lines}
        self.told: dict[str, int] = {}
        self.is_under_way = threading.Event()

    def sign_all(self) -> None:
        for line_id in self.tokens:
            try:
                self.sign(self.client, line_id)
            except httpx.HTTPError:
                return  # its server is gone
            if len(self.told) == BEFORE_THE_KILL:
                self.is_under_way.set()

    def sign(self, client: httpx.Client, line_id: str) -> None:
        answer = sign_on_paper(client, line_id, self.tokens[line_id])
        assert answer.status_code == 200, answer.text
        self.told[line_id] = answer.json()["seq"]


def test_what_either_server_acknowledged_is_there_once_and_the_other_one_finishes_the_tables(
    tmp_path: Path, postgresql_url: str
) -> None:
    day = make_day(tmp_path, url=postgresql_url)
    halves = day.open_lines[:LINES_EACH], day.open_lines[LINES_EACH : 2 * LINES_EACH]
    with running(day) as stays, running(day) as falls:
        stays.open_polls()
        here, there = Table(stays, "Table 1", halves[0]), Table(falls, "Table 2", halves[1])
        threads = [threading.Thread(target=table.sign_all) for table in (here, there)]
        for thread in threads:
            thread.start()
        assert there.is_under_way.wait(60)
        falls.kill()
        for thread in threads:
            thread.join()
        acknowledged = dict(there.told)
        assert BEFORE_THE_KILL <= len(acknowledged) < LINES_EACH
        assert len(here.told) == LINES_EACH
        moved = stays.station("RM", "Table 3")
        for line_id in there.tokens:
            there.sign(moved, line_id)
        for client in (here.client, there.client, moved):
            client.close()
    assert {line_id: there.told[line_id] for line_id in acknowledged} == acknowledged
    assert verify_database(day.url).holds
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda record: queries.entries_of(record, "signature.recorded"))
    assert {entry.line_id: entry.seq for entry in entries} == here.told | there.told
    assert len(entries) == 2 * LINES_EACH
