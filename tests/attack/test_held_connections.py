"""What a connection may hold: no memory without end, and no place that it does not use."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import suppress

import httpx
import pytest

from _hall import Hall
from _running_server import fresh_token, sign_on_paper
from app.api.receiving import WHOLE_SECONDS
from tests.attack.conftest import Who, read_all

CHUNKED = (
    "POST /api/join HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n"
    "Transfer-Encoding: chunked\r\n\r\n"
)
LINE = "X-More: " + "x" * 8_000 + "\r\n"


def request(hall: Hall, path: str, *headers: str) -> bytes:
    """For one and the same connection, which is kept."""
    lines = [f"GET {path} HTTP/1.1", f"Host: {hall.laptop}:{hall.port}", *headers]
    return "\r\n".join([*lines, "", ""]).encode()


@pytest.mark.parametrize(
    ("begun", "more"),
    [
        ("2\r\n{{}}\r\n0\r\n", LINE),
        ("2\r\n{{}}\r\n0\r\nX-More: ", "x" * 8_000),
        ("2;more=", "x" * 8_000),
    ],
)
def test_what_frames_a_body_without_end_is_cut_off(
    hall: Hall, who: Who, begun: str, more: str
) -> None:
    sent, host = 0, f"{hall.laptop}:{hall.port}"
    with hall.connection(who.attacker) as connection, suppress(OSError):
        connection.sendall((CHUNKED + begun).format(host=host).encode())
        while sent < 5_000_000:
            connection.sendall(more.encode())
            sent += len(more)
    assert sent < 5_000_000
    assert hall.lead.get("/api/day").status_code == 200


def test_a_header_behind_the_body_is_cut_off_and_counts_as_none(hall: Hall, who: Who) -> None:
    body = '2\r\n{{}}\r\n0\r\nIdempotency-Key: "behind-the-body-01"\r\n\r\n'
    host = f"{hall.laptop}:{hall.port}"
    with hall.connection(who.attacker) as connection:
        connection.sendall((CHUNKED + body).format(host=host).encode())
        assert read_all(connection) == b""


def test_a_body_in_pieces_is_taken(hall: Hall, table: httpx.Client) -> None:
    def pieces(text: bytes = b'{"text": "marchb p"}') -> Iterator[bytes]:
        for place in range(len(text)):
            yield text[place : place + 1]

    json_type = {"Content-Type": "application/json"}
    answer = table.post("/api/find", content=pieces(), headers=json_type)
    assert answer.json()["matches"]


@pytest.mark.parametrize("times", [1, 40])
def test_empty_lines_after_an_answer_hold_no_connection(hall: Hall, who: Who, times: int) -> None:
    with hall.connection(who.attacker) as connection:
        connection.sendall(request(hall, "/api/health"))
        assert connection.recv(65_536).startswith(b"HTTP/1.1 200 ")
        started = time.monotonic()
        with suppress(OSError):
            for _ in range(times):
                connection.sendall(b"\r\n")
                time.sleep(0.5)
        read_all(connection)
    assert WHOLE_SECONDS - 2 < time.monotonic() - started < 2 * WHOLE_SECONDS + 5


def test_what_happens_is_heard_on_a_connection_that_was_used_before(
    hall: Hall, who: Who, table: httpx.Client
) -> None:
    cookies = "; ".join(f"{name}={value}" for name, value in table.cookies.items())
    own = ("User-Agent: Browser/1", f"Cookie: {cookies}")
    line = hall.server.day.open_lines[2]
    with hall.connection(who.table) as connection:
        connection.sendall(request(hall, "/api/day", *own))
        assert connection.recv(65_536).startswith(b"HTTP/1.1 200 ")
        connection.sendall(b"\r\n" + request(hall, "/api/log/live", *own))
        connection.sendall(b"\r\n")
        time.sleep(WHOLE_SECONDS + 2)
        assert sign_on_paper(hall.lead, line, fresh_token()).status_code == 200
        heard = b""
        while b"signature.recorded" not in heard:
            some = connection.recv(65_536)
            assert some, "cut off"
            heard += some
