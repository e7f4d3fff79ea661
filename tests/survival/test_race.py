"""Eight stations at once try to sign the same five hundred lines, over real HTTP.

On one laptop with its record in a file, and at a vote centre: two servers, each a process of
its own, on one PostgreSQL.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import Day, Server, fresh_token, make_day, running, sign_on_paper
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database

pytestmark = pytest.mark.survival

STATIONS, LINES = 8, 500
# So many lines are raced for at a time, each station in its own order, so that they collide.
AT_A_TIME = 10

Answer = tuple[str, int, Any]


@pytest.fixture(params=["a file", "two servers on PostgreSQL"])
def servers(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[list[Server]]:
    """The servers of one record, with the polls open."""
    is_shared = request.param != "a file"
    url = str(request.getfixturevalue("postgresql_url")) if is_shared else None
    day = make_day(tmp_path, url=url)
    with ExitStack() as stack:
        started = [stack.enter_context(running(day)) for _ in range(2 if is_shared else 1)]
        started[0].open_polls()
        yield started


def test_each_line_is_signed_once_and_every_loser_is_told_when_and_where(
    servers: list[Server],
) -> None:
    day = servers[0].day
    lines = day.open_lines[:LINES]
    answers = race(servers, lines)
    winners = {line_id: body for line_id, status, body in answers if status == 200}
    assert Counter(status for _, status, _ in answers) == {200: LINES, 409: LINES * (STATIONS - 1)}
    assert set(winners) == set(lines)
    for line_id, status, body in answers:
        if status == 409:
            assert body["code"] == "already-signed"
            told = (body["station"], body["local_time"], body["initials"])
            won = winners[line_id]
            assert told == (won["station"], won["local_time"], won["initials"])
    by_station = Counter(body["station"] for body in winners.values())
    assert len(by_station) > 1, "the stations never raced"
    assert len({int(name[-1]) % len(servers) for name in by_station}) == len(servers)
    assert verify_database(day.url).holds
    assert signatures(day) == {line_id: winners[line_id]["seq"] for line_id in lines}


def race(servers: Sequence[Server], lines: Sequence[str]) -> list[Answer]:
    """What every station was answered; they take turns among the servers."""
    clients = [
        servers[number % len(servers)].station("RM", f"Table {number}")
        for number in range(1, STATIONS + 1)
    ]

    def sign_all(number: int) -> list[Answer]:
        return [_signed(clients[number], line_id) for line_id in in_own_order(lines, number)]

    try:
        with ThreadPoolExecutor(STATIONS) as pool:
            return [one for some in pool.map(sign_all, range(STATIONS)) for one in some]
    finally:
        for client in clients:
            client.close()


def in_own_order(lines: Sequence[str], number: int) -> Iterator[str]:
    """The lines a few at a time, those shuffled anew for each station."""
    chance = random.Random(number)
    for start in range(0, len(lines), AT_A_TIME):
        some = list(lines[start : start + AT_A_TIME])
        chance.shuffle(some)
        yield from some


def signatures(day: Day) -> dict[str, int]:
    """The number of the one entry that signed each line; a line that two signed is a fault."""
    with open_store(day.url, SystemClock()) as store:
        entries = store.read(lambda record: queries.entries_of(record, "signature.recorded"))
    found = {str(entry.line_id): entry.seq for entry in entries}
    assert len(found) == len(entries), "a line was signed twice"
    return found


def _signed(client: httpx.Client, line_id: str) -> Answer:
    answer = sign_on_paper(client, line_id, fresh_token())
    return line_id, answer.status_code, answer.json()
