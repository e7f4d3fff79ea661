"""Sixteen stations at once try to sign the same two hundred lines, over real HTTP."""

from __future__ import annotations

import random
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from _running_server import fresh_token, make_day, running, sign_on_paper
from app.records.store import verify_database

pytestmark = pytest.mark.survival

STATIONS, LINES = 16, 200


def test_each_line_is_signed_once_and_every_loser_is_told_when_and_where(tmp_path: Path) -> None:
    day = make_day(tmp_path)
    lines = day.open_lines[:LINES]
    with running(day) as server:
        server.open_polls()
        clients = [server.station("RM", f"Table {number}") for number in range(1, STATIONS + 1)]

        def sign_all(number: int) -> list[tuple[str, int, Any]]:
            """Every station in its own order over a few lines at a time, so that they collide."""
            chance = random.Random(number)
            answers = []
            for start in range(0, LINES, 10):
                some = list(lines[start : start + 10])
                chance.shuffle(some)
                for line_id in some:
                    answer = sign_on_paper(clients[number], line_id, fresh_token())
                    answers.append((line_id, answer.status_code, answer.json()))
            return answers

        with ThreadPoolExecutor(STATIONS) as pool:
            answers = [one for some in pool.map(sign_all, range(STATIONS)) for one in some]
        for client in clients:
            client.close()
    winners = {line_id: body for line_id, status, body in answers if status == 200}
    assert Counter(status for _, status, _ in answers) == {200: LINES, 409: LINES * (STATIONS - 1)}
    assert set(winners) == set(lines)
    for line_id, status, body in answers:
        if status == 409:
            assert body["code"] == "already-signed"
            told = (body["station"], body["local_time"], body["initials"])
            won = winners[line_id]
            assert told == (won["station"], won["local_time"], won["initials"])
    assert len({body["station"] for body in winners.values()}) > 1, "the stations never raced"
    assert verify_database(day.url).holds
