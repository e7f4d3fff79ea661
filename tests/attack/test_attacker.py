"""Somebody in the hall with a device of their own, who knows the address and this program.

From another address of this machine, over the laptop's own network listener. What is asserted
each time: refused, nothing personal sent, the log whole, and the lead can see it.
"""

from __future__ import annotations

import json
import ssl
import time
from collections import Counter
from contextlib import closing, suppress

import httpx
import pytest

from _hall import Hall
from _running_server import PINS, post
from app.api.access import ACCESS
from app.records.clock import SystemClock
from app.trust.certificates import client_context, make
from tests.attack.conftest import Who, marker_words, read_all, signatures

SIGN_ON = "__Host-tablebook_sign_on"


def line(hall: Hall, number: int = 0) -> str:
    return hall.server.day.open_lines[number]


def test_an_unpaired_device_gets_nothing_from_any_route(hall: Hall, who: Who) -> None:
    words = marker_words(hall.server.day.url)
    assert len(words) > 3_000
    with hall.browser(who.attacker) as device:
        for number, (method, path) in enumerate(sorted(ACCESS)):
            if path in ("/api/join", "/api/health"):
                continue
            filled = path.replace("{line_id}", line(hall)).replace("{seq}", "1")
            answer = device.request(method, filled, json={} if method == "POST" else None)
            # Asking so fast is refused too, after a while; where no copy is kept there is none.
            refused = (401, 404, 429) if path.startswith("/api/copy/") else (401, 429)
            assert answer.status_code in refused, path
            assert not any(word in answer.content for word in words)
            if number % 50 == 49:
                time.sleep(8)


def test_a_pin_that_somebody_looked_at_is_of_no_use_without_a_station(hall: Hall, who: Who) -> None:
    with hall.browser(who.attacker) as device:
        body = {"initials": "RM", "pin": PINS["RM"], "station": "T"}
        answer = post(device, "/api/sign-on", body)
    assert answer.status_code == 401
    assert answer.json()["code"] == "not-joined"


def test_guessing_the_code_of_a_station_gets_nobody_in(hall: Hall, who: Who) -> None:
    with hall.browser(who.attacker) as device:
        code = hall.new_code()
        tries = [
            post(device, "/api/join", {"code": f"3467ACD{sign}", "station": "T"}).status_code
            for sign in "3467ACDEFGHJ"
        ]
        late = post(device, "/api/join", {"code": code, "station": "T"}).status_code
    assert set(tries) == {403}
    assert late == 403


@pytest.mark.parametrize(("is_elsewhere", "agent"), [(True, "Browser/1"), (False, "Other/2")])
def test_the_cookies_of_a_station_are_of_no_use_on_another_device_or_in_another_browser(
    hall: Hall, who: Who, table: httpx.Client, is_elsewhere: bool, agent: str
) -> None:
    with hall.browser(who.attacker if is_elsewhere else who.table, agent) as thief:
        thief.cookies = table.cookies
        read = thief.get("/api/log")
        written = post(thief, f"/api/lines/{line(hall)}/signature", {"how": "paper"})
    assert [read.status_code, written.status_code] == [401, 401]
    assert table.get("/api/log").status_code == 200
    assert signatures(hall) == 0


def test_the_cookies_of_a_station_are_of_no_use_on_the_laptops_own_listener(
    hall: Hall,
    table: httpx.Client,
) -> None:
    with httpx.Client(base_url=hall.server.address) as here:
        here.cookies.set("tablebook_sign_on", str(table.cookies.get(SIGN_ON)))
        assert here.get("/api/log").status_code == 401


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "LAPTOP:1", "localhost:8407"])
def test_a_name_that_is_not_the_laptops_is_refused(
    hall: Hall, table: httpx.Client, host: str
) -> None:
    answer = table.get("/api/log", headers={"Host": host.replace("LAPTOP", hall.laptop)})
    assert answer.status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:8407"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
def test_a_write_that_another_page_has_the_stations_browser_send_is_refused(
    hall: Hall, table: httpx.Client, headers: dict[str, str]
) -> None:
    answer = table.post(
        f"/api/lines/{line(hall)}/signature",
        json={"how": "paper"},
        headers={"Idempotency-Key": "cross-origin-0001", **headers},
    )
    assert answer.status_code == 403
    form = table.post(
        f"/api/lines/{line(hall)}/signature",
        content=json.dumps({"how": "paper"}),
        headers={"Idempotency-Key": "cross-origin-0002", "Content-Type": "text/plain"},
    )
    assert form.status_code == 415
    assert signatures(hall) == 0


def test_guessing_a_pin_at_full_speed_from_a_joined_station_gets_five_looked_at_at_once(
    hall: Hall,
    table: httpx.Client,
) -> None:
    """The rest waits, or is locked: at most ten an hour (tests/desk/test_pin_guessing.py)."""
    answers = Counter(
        post(
            table, "/api/sign-on", {"initials": "LO", "pin": f"{n:06}", "station": "T"}
        ).status_code
        for n in range(300)
    )
    assert answers[401] <= 10
    assert answers[200] == 0
    # Nobody else is locked out, and the table goes on.
    body = {"initials": "RM", "pin": PINS["RM"], "station": "T"}
    assert post(table, "/api/sign-on", body).status_code == 200
    with closing(hall.server.station("RM", "Table 1")) as here:
        assert here.get("/api/log").status_code == 200


def test_a_write_that_is_played_again_gives_the_same_answer_and_no_second_row(
    hall: Hall,
    table: httpx.Client,
) -> None:
    path, body = f"/api/lines/{line(hall)}/signature", {"how": "paper"}
    first = table.post(path, json=body, headers={"Idempotency-Key": "played-again-0001"})
    again = table.post(path, json=body, headers={"Idempotency-Key": "played-again-0001"})
    other = table.post(
        f"/api/lines/{line(hall, 1)}/signature",
        json=body,
        headers={"Idempotency-Key": "played-again-0001"},
    )
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json()
    assert other.status_code == 422
    assert signatures(hall) == 1


TRAVERSALS = [
    "/../day.db",
    "/..%2fday.db",
    "/%2e%2e/%2e%2e/etc/passwd",
    "/styles/..%5c..%5cday.db",
    "//etc/passwd",
    "/words/../../pyproject/join.json",
    "/words/en/..%2f..%2fjoin.json",
    "/api/papers/..%2fregister.pdf",
    "/api/papers/slip-..%2f..%2fday.db.pdf",
    "/api/exports/..%2f..%2fday.db",
    "/api/exports/%00",
    "/%00",
]


@pytest.mark.parametrize("path", TRAVERSALS)
def test_no_path_leads_out_of_what_is_served_not_even_for_a_station(
    hall: Hall, who: Who, table: httpx.Client, path: str
) -> None:
    cookies = "; ".join(f"{name}={value}" for name, value in table.cookies.items())
    for address, cookie in ((who.attacker, ""), (who.table, cookies)):
        answer = exchange(hall, address, bare_get(hall, path, cookie))
        status = int(answer.split(b" ", 2)[1])
        assert 400 <= status < 500, answer[:200]
        for secret in (b"SQLite format 3", b"root:", b"[project]"):
            assert secret not in answer


@pytest.mark.parametrize(
    "path", ["/join.html/../index.html", "/join.js/../controller.js", "/words/en/../en/table.json"]
)
def test_no_path_leads_from_the_page_that_joins_to_the_rest_of_it(
    hall: Hall, who: Who, path: str
) -> None:
    assert b" 401 " in exchange(hall, who.attacker, bare_get(hall, path, "")).splitlines()[0]


def exchange(hall: Hall, address: str, sent: bytes) -> bytes:
    """What is answered to these bytes."""
    with hall.connection(address) as connection:
        connection.sendall(sent)
        return read_all(connection)


def bare_get(hall: Hall, path: str, cookie: str) -> bytes:
    lines = [
        f"GET {path} HTTP/1.1",
        f"Host: {hall.laptop}:{hall.port}",
        "User-Agent: Browser/1",
        f"Cookie: {cookie}" if cookie else "X-None: 1",
        "Connection: close",
    ]
    return "\r\n".join([*lines, "", ""]).encode()


def test_a_body_that_is_too_large_is_refused_and_not_read_to_its_end(
    hall: Hall, table: httpx.Client
) -> None:
    huge = b'{"text": "' + b"x" * 3_000_000 + b'"}'
    try:
        status = table.post(
            "/api/find", content=huge, headers={"Content-Type": "application/json"}
        ).status_code
    except httpx.TransportError:
        status = 413  # cut off while it was still being sent
    assert status == 413
    assert table.get("/api/day").status_code == 200


SLOW_BODY = (
    b"POST /api/join HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\n"
    b"Content-Length: 50\r\n\r\n{"
)


@pytest.mark.parametrize(
    "begun", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: x\r\nX-Long: ", SLOW_BODY]
)
def test_whoever_sends_slowly_is_cut_off_after_ten_seconds(
    hall: Hall, who: Who, begun: bytes
) -> None:
    is_cut_off_after_ten_seconds(hall, who, begun)


def is_cut_off_after_ten_seconds(hall: Hall, who: Who, begun: bytes) -> None:
    begun = begun.replace(b"HOST", f"{hall.laptop}:{hall.port}".encode())
    started = time.monotonic()
    with hall.connection(who.attacker) as connection:
        connection.sendall(begun)
        if begun:
            trickle(connection)
        read_all(connection)
    assert 8 < time.monotonic() - started < 20


def trickle(connection: ssl.SSLSocket) -> None:
    """A byte now and then, as long as it is taken."""
    deadline = time.monotonic() + 15
    with suppress(OSError):
        while time.monotonic() < deadline:
            connection.sendall(b"a")
            time.sleep(0.5)


def test_headers_without_end_are_cut_off(hall: Hall, who: Who) -> None:
    sent = 0
    with hall.connection(who.attacker) as connection, suppress(OSError):
        connection.sendall(b"GET / HTTP/1.1\r\n")
        while sent < 5_000_000:
            connection.sendall(b"X-More: " + b"x" * 8_000 + b"\r\n")
            sent += 8_000
    assert sent < 5_000_000


# Each kind is written down when it first comes, and then once a minute.
WRITTEN_SECONDS = 70
TOLD = {
    "not-joined",
    "wrong-code",
    "copied-cookie",
    "wrong-host",
    "wrong-origin",
    "pin-locked",
    "too-large",
    "too-many",
}


def test_what_is_no_http_is_refused_with_the_headers_of_every_answer(hall: Hall, who: Who) -> None:
    answer = exchange(hall, who.attacker, b"\x00\x01 no request\r\n\r\n")
    assert answer.startswith(b"HTTP/1.1 400 ")
    assert b"Content-Security-Policy: default-src 'none'" in answer


def test_plain_http_is_not_answered_to_the_hall(hall: Hall, who: Who) -> None:
    with hall.plain_connection(who.attacker) as plain:
        plain.sendall(bare_get(hall, "/api/health", ""))
        assert b"HTTP/1.1" not in read_all(plain)


def test_the_laptops_own_listener_is_not_there_for_the_hall(hall: Hall, who: Who) -> None:
    with hall.browser(who.attacker) as device, pytest.raises(httpx.ConnectError):
        device.get(f"http://{hall.laptop}:{hall.server.port}/api/health")


def test_somebody_in_the_middle_with_an_authority_of_their_own_is_not_trusted(
    hall: Hall,
) -> None:
    other = client_context(make([hall.laptop], SystemClock().now()).authority)
    with hall.entered(), pytest.raises(httpx.ConnectError, match="certificate"):
        httpx.get(f"{hall.url}/api/health", verify=other)


def test_asking_at_full_speed_is_refused_and_the_station_goes_on(
    hall: Hall, who: Who, table: httpx.Client
) -> None:
    with hall.browser(who.attacker) as device:
        answers = Counter(device.get("/join.html").status_code for _ in range(300))
    assert answers[429] > 150
    assert answers[200] > 0
    assert table.get("/api/day").status_code == 200


def test_the_lead_is_told_of_every_kind_and_whence_it_came(hall: Hall, who: Who) -> None:
    """Last in this file: of what the tests above were refused."""
    deadline = time.monotonic() + WRITTEN_SECONDS
    while {one["refused"] for one in hall.refused()} < TOLD and time.monotonic() < deadline:
        time.sleep(1)
    told = hall.refused()
    assert {one["refused"] for one in told} == TOLD
    addresses = {one["address"] for one in told}
    assert {who.attacker} < addresses <= {who.attacker, who.table, "127.0.0.1"}
    items = hall.lead.get("/api/attention").json()["items"]
    assert "refused-at-the-door" in [item["kind"] for item in items]
