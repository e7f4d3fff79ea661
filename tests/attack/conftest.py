"""A server with two listeners, a station on one other address, and an attacker on a third.

All of one machine here; `test_from_another_host.py` has them on two hosts.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass

import httpx
import pytest

from _hall import LAPTOP, Hall, can_have, hall_of
from _running_server import make_day
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database


@dataclass(frozen=True)
class Who:
    """Whence a station and an attacker call."""

    table: str
    attacker: str


@pytest.fixture(scope="module")
def who() -> Who:
    return Who(table="127.0.0.4", attacker="127.0.0.66")


@pytest.fixture(scope="module")
def hall(who: Who, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    """One for all the tests; at the end the record must hold."""
    if not can_have(LAPTOP, who.table, who.attacker):
        pytest.skip(f"{LAPTOP} and its neighbours cannot be had on this system")
    day = make_day(tmp_path_factory.mktemp("attacked"))
    with hall_of(day) as hall:
        yield hall
    assert verify_database(day.url).holds


@pytest.fixture(scope="module")
def table(hall: Hall, who: Who) -> Iterator[httpx.Client]:
    """A station that has joined, with a worker signed on."""
    with closing(hall.joined(who.table, "Table 2")) as client:
        yield client


def signatures(hall: Hall) -> int:
    log = hall.lead.get("/api/log", params={"limit": 1000}).json()
    return [entry["kind"] for entry in log["entries"]].count("signature.recorded")


def read_all(connection: socket.socket) -> bytes:
    """What is still answered, until the other side closes or cuts off."""
    answered = b""
    with suppress(OSError):
        while some := connection.recv(65_536):
            answered += some
    return answered


def marker_words(url: str) -> set[bytes]:
    """What stands on the lines of the sample: none of it may reach whoever is no station."""
    with open_store(url, SystemClock()) as store:
        lines = store.read(lambda record: list(queries.all_lines(record)))
    return {
        word.encode()
        for line in lines
        for word in (
            line.printed.voter_number,
            line.printed.birth_date.isoformat(),
            line.printed.street_address,
        )
        if len(word) > 5
    }
