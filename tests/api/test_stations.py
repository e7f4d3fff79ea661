"""Stations on other devices: who is let in, what the rest is answered, who is taken out again."""

from __future__ import annotations

import json
import re
from http.cookies import SimpleCookie
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.api.access import ACCESS
from app.api.described import describe
from app.api.door import STATION_COOKIE
from app.desk.joining import ALPHABET, CODE_SECONDS, CODE_TRIES
from app.records.store import verify_database
from app.server import build_app, frontend_folder
from tests.api.conftest import HOST, PEOPLE, PINS, Precinct
from tests.api.hall import (
    AFAR,
    NAME,
    STRANGER,
    TABLE_TWO,
    browser,
    joined,
    new_code,
    open_hall,
    refused,
    refused_kinds,
    sign_on,
    try_code,
)
from tests.api.ticking import stop_clocks

JOIN_PAGE = {
    "/join.html",
    "/join.js",
    "/icon.svg",
    "/styles/tokens.css",
    "/styles/join.css",
    "/words/en/join.json",
    "/words/es/join.json",
}


@pytest.fixture
def hall(precinct: Precinct) -> Precinct:
    open_hall(precinct)
    return precinct


@pytest.fixture
def lead(hall: Precinct) -> TestClient:
    return hall.station("LO", "Lead's desk")


PERSONAL = {
    word
    for person in PEOPLE.values()
    for word in (
        person.last_name,
        person.voter_number,
        person.birth_date.isoformat(),
        person.mothers_maiden_name,
        person.street_address,
    )
    if word
}


def personal_bytes(answer: Any) -> int:
    return sum(len(word) for word in PERSONAL if word in answer.text)


def routes(precinct: Precinct) -> list[tuple[str, str]]:
    described = {
        (method.upper(), path)
        for path, operations in describe(precinct.app)["paths"].items()
        for method in operations
    }
    return sorted(described | set(ACCESS))


def filled(precinct: Precinct, path: str) -> str:
    return re.sub(r"\{[a-z_]+\}", "1", path.replace("{line_id}", precinct.ids["plain"]))


def test_a_station_joins_with_the_code_and_a_worker_signs_a_voter_there(
    hall: Precinct, lead: TestClient
) -> None:
    table = joined(hall, lead)
    assert sign_on(hall, table).json()["station"] == "Table 2"
    assert hall.sign(table, "plain").status_code == 200
    assert table.get("/").status_code == 200
    entries = lead.get("/api/log").json()["entries"]
    kinds = {entry["kind"]: entry for entry in entries}
    assert kinds["station.joined"]["body"]["address"] == TABLE_TWO
    assert kinds["signature.recorded"]["station"] == "Table 2"
    assert verify_database(hall.url).holds


def test_a_browser_that_has_not_joined_is_led_to_the_join_page(hall: Precinct) -> None:
    answer = browser(hall).get("/")
    assert (answer.status_code, answer.headers["location"]) == (303, "/join.html")


def test_no_route_answers_a_browser_that_has_not_joined_and_nothing_personal_is_sent(
    hall: Precinct,
) -> None:
    assert len(PERSONAL) > 40
    walked = 0
    for number, (method, path) in enumerate(routes(hall)):
        if path in ("/api/join", "/api/health"):
            continue
        stranger = browser(hall, f"192.168.{21 + number // 200}.{1 + number % 200}")
        if method == "GET":
            answer = stranger.get(filled(hall, path))
        else:
            answer = hall.post(stranger, filled(hall, path))
        assert personal_bytes(answer) == 0
        if path.startswith("/api/copy/"):
            # A second laptop has a credential of its own: tests/api/test_following.py.
            assert answer.status_code in (401, 403, 404), path
            continue
        assert (answer.status_code, answer.json()["code"]) == (401, "not-joined"), path
        walked += 1
    copies = [path for _, path in ACCESS if path.startswith("/api/copy/")]
    assert walked >= len(ACCESS) - 2 - len(copies)


def test_the_walk_would_notice_personal_bytes(hall: Precinct, lead: TestClient) -> None:
    assert personal_bytes(hall.post(lead, "/api/find", {"text": "quill"})) > 0


def test_of_the_page_only_what_joins_is_sent_to_a_browser_that_has_not_joined(
    hall: Precinct,
) -> None:
    folder = frontend_folder()
    files = {f"/{file.relative_to(folder).as_posix()}" for file in folder.rglob("*.*")}
    words = {
        f"/words/{language}/{part}.json"
        for language in ("en", "es")
        for part in hall.app.state.words.parts
    }
    served = set()
    for number, path in enumerate(sorted(files | words)):
        answer = browser(hall, f"192.168.{21 + number // 200}.{1 + number % 200}").get(path)
        if answer.status_code == 200:
            served.add(path)
            assert personal_bytes(answer) == 0
        else:
            assert answer.status_code in (303, 401), path
    assert served == JOIN_PAGE


def test_the_bare_health_says_nothing_but_that_it_serves(hall: Precinct) -> None:
    assert browser(hall).get("/api/health").json() == {"serves": True}


def test_a_pin_is_of_no_use_on_a_browser_that_has_not_joined(hall: Precinct) -> None:
    answer = sign_on(hall, browser(hall))
    assert (answer.status_code, answer.json()["code"]) == (401, "not-joined")


def cookies_of(answer: Any) -> SimpleCookie:
    return SimpleCookie("; ".join(answer.headers.get_list("set-cookie")))


def test_the_cookies_of_a_station_are_held_to_this_host_to_tls_and_from_scripts(
    hall: Precinct, lead: TestClient
) -> None:
    client = browser(hall)
    answers = [try_code(hall, client, new_code(hall, lead)), sign_on(hall, client)]
    for answer in answers:
        (cookie,) = cookies_of(answer).values()
        assert cookie.key.startswith("__Host-")
        assert (cookie["secure"], cookie["httponly"], cookie["path"]) == (True, True, "/")
        assert cookie["samesite"].lower() == "strict"
        assert cookie["domain"] == ""
        assert len(cookie.value) >= 43  # 256 bits in base64
        with hall.app.state.roster.store._reading.connect() as connection:
            kept = connection.exec_driver_sql("select * from station, sign_on").fetchall()
        assert cookie.value not in str(kept)


def test_the_code_is_eight_signs_none_of_which_is_taken_for_another(
    hall: Precinct, lead: TestClient
) -> None:
    code = new_code(hall, lead)
    assert re.fullmatch(f"[{ALPHABET}]{{8}}", code)
    assert not set(ALPHABET) & set("0O1IL5S2Z8BUV")


def test_the_code_is_typed_as_it_is_read_in_any_capitals_and_spaces(
    hall: Precinct, lead: TestClient
) -> None:
    code = new_code(hall, lead)
    typed = f" {code[:4].lower()}-{code[4:]} "
    assert try_code(hall, browser(hall), typed).status_code == 200


def test_a_code_lets_in_one_browser(hall: Precinct, lead: TestClient) -> None:
    code = new_code(hall, lead)
    assert try_code(hall, browser(hall), code).status_code == 200
    second = try_code(hall, browser(hall, STRANGER), code, "Table 3")
    assert (second.status_code, second.json()["code"]) == (403, "join-code-wrong")


def test_a_code_is_good_for_two_minutes(hall: Precinct, lead: TestClient) -> None:
    ticking = stop_clocks(hall)
    code = new_code(hall, lead)
    ticking.wait(CODE_SECONDS + 1)
    assert try_code(hall, browser(hall), code).json()["code"] == "join-code-wrong"


def test_a_new_code_ends_the_one_before(hall: Precinct, lead: TestClient) -> None:
    first = new_code(hall, lead)
    second = new_code(hall, lead)
    assert try_code(hall, browser(hall), first).status_code == 403
    assert try_code(hall, browser(hall), second).status_code == 200


def test_a_code_that_is_guessed_at_is_good_no_more(hall: Precinct, lead: TestClient) -> None:
    code = new_code(hall, lead)
    for _ in range(CODE_TRIES):
        assert try_code(hall, browser(hall, STRANGER), "XXXXXXXX").status_code == 403
    assert try_code(hall, browser(hall), code).status_code == 403
    assert refused_kinds(hall, lead)["wrong-code"] == CODE_TRIES + 1


def test_without_a_code_nobody_joins_and_on_the_laptop_itself_there_is_nothing_to_join(
    hall: Precinct, lead: TestClient
) -> None:
    assert try_code(hall, browser(hall), "34679ACD").status_code == 403
    here = try_code(hall, hall.client(), new_code(hall, lead))
    assert (here.status_code, here.json()["code"]) == (401, "not-joined")


def test_the_same_key_again_is_one_station_with_a_fresh_secret(
    hall: Precinct, lead: TestClient
) -> None:
    body = {"code": new_code(hall, lead), "station": "Table 2"}
    client = browser(hall)
    first = hall.post(client, "/api/join", body, "join-sent-twice-0001")
    again = hall.post(client, "/api/join", body, "join-sent-twice-0001")
    assert first.status_code == again.status_code == 200
    (old,), (new,) = cookies_of(first).values(), cookies_of(again).values()
    copied = browser(hall)
    copied.cookies.set(STATION_COOKIE, old.value, domain="192.168.20.1")
    assert old.value != new.value
    assert copied.get("/api/day").status_code == 401
    assert len(lead.get("/api/stations").json()["stations"]) == 1


def test_two_stations_cannot_have_one_name_and_the_code_stays_good(
    hall: Precinct, lead: TestClient
) -> None:
    joined(hall, lead)
    code = new_code(hall, lead)
    other = browser(hall, "192.168.20.23")
    taken = try_code(hall, other, code, "table 2")
    assert (taken.status_code, taken.json()["code"]) == (409, "already-there")
    assert try_code(hall, other, code, "Table 3").status_code == 200


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"code": "A" * 41, "station": "T"},
        {"code": "A"},
        {"code": "34679ACD", "station": "a\x00b"},
    ],
)
def test_a_request_to_join_that_cannot_be_read_is_refused_and_uses_no_code(
    hall: Precinct, lead: TestClient, body: dict[str, str]
) -> None:
    code = new_code(hall, lead)
    assert hall.post(browser(hall), "/api/join", body).status_code == 422
    assert try_code(hall, browser(hall), code).status_code == 200


@pytest.mark.parametrize(("address", "agent"), [(STRANGER, "Browser/1"), (TABLE_TWO, "Browser/2")])
def test_a_stations_cookie_from_another_device_or_browser_is_refused_and_told_to_the_lead(
    hall: Precinct, lead: TestClient, address: str, agent: str
) -> None:
    table = joined(hall, lead)
    sign_on(hall, table)
    thief = browser(hall, address, agent)
    thief.cookies = table.cookies
    answer = thief.get("/api/log")
    assert (answer.status_code, answer.json()["code"]) == (401, "not-joined")
    assert personal_bytes(answer) == 0
    assert refused_kinds(hall, lead) == {"copied-cookie": 1}
    assert table.get("/api/log").status_code == 200


def test_a_sign_on_carried_to_another_station_is_no_sign_on_there(
    hall: Precinct, lead: TestClient
) -> None:
    table, other = joined(hall, lead), joined(hall, lead, "Table 3", "192.168.20.23")
    sign_on(hall, table)
    name = "__Host-tablebook_sign_on"
    other.cookies.set(name, table.cookies[name], domain="192.168.20.1")
    assert other.get("/api/log").status_code == 401
    here = hall.client()
    here.cookies.set("tablebook_sign_on", table.cookies[name])
    assert here.get("/api/log").status_code == 401
    assert refused_kinds(hall, lead) == {"copied-cookie": 2}


def test_a_station_that_is_taken_out_and_whoever_signed_on_there_are_answered_no_more(
    hall: Precinct, lead: TestClient
) -> None:
    table = joined(hall, lead)
    sign_on(hall, table)
    (station,) = lead.get("/api/stations").json()["stations"]
    path = f"/api/stations/{station['station_id']}/revoke"
    assert hall.post(lead, path).status_code == 200
    assert table.get("/api/log").json()["code"] == "not-joined"
    shown = lead.get("/api/stations").json()
    assert [one["is_revoked"] for one in shown["stations"]] == [True]
    assert {one["initials"] for one in shown["sign_ons"]} == {"LO"}
    assert hall.post(lead, path).status_code == 200  # safe to ask twice
    kinds = [entry["kind"] for entry in lead.get("/api/log").json()["entries"]]
    assert kinds.count("station.revoked") == 1
    assert joined(hall, lead).get("/api/day").status_code == 200  # the name is free again
    assert verify_database(hall.url).holds


def test_taking_out_a_station_that_there_is_not_is_a_clear_error(
    hall: Precinct, lead: TestClient
) -> None:
    assert hall.post(lead, "/api/stations/00000000/revoke").status_code == 404


def test_a_restart_keeps_the_stations_and_what_was_taken_out(
    hall: Precinct, lead: TestClient
) -> None:
    table, gone = joined(hall, lead), joined(hall, lead, "Table 3", "192.168.20.23")
    sign_on(hall, table)
    stations = lead.get("/api/stations").json()["stations"]
    (other,) = [one["station_id"] for one in stations if one["name"] == "Table 3"]
    hall.post(lead, f"/api/stations/{other}/revoke")
    app = build_app(hall.url, {HOST})
    again = Precinct(hall.url, app, hall.ids)
    open_hall(again)
    with TestClient(app, base_url=f"http://{HOST}"):
        for before, status in ((table, 200), (gone, 401)):
            after = browser(again, before._transport.client[0])
            after.cookies = before.cookies
            assert after.get("/api/day").status_code == status


def test_a_worker_cannot_see_or_change_stations(hall: Precinct) -> None:
    table = hall.station("RM")
    assert table.get("/api/stations").status_code == 403
    assert hall.post(table, "/api/stations/code").status_code == 403


def test_the_list_of_stations_carries_no_code_no_secret_and_no_pin(
    hall: Precinct, lead: TestClient
) -> None:
    code = new_code(hall, lead)
    table = browser(hall)
    try_code(hall, table, code)
    shown = lead.get("/api/stations").text + lead.get("/api/log").text
    for secret in (code, table.cookies[STATION_COOKIE], *PINS.values()):
        assert secret not in shown


WRITE = {"Idempotency-Key": "a" * 16}


@pytest.mark.parametrize("scheme", ["http", "https"])
@pytest.mark.parametrize(
    "host", ["evil.example", "192.168.20.1", "192.168.20.1:8407", "127.0.0.1:8408", "localhost", ""]
)
def test_another_hosts_name_is_refused_on_both_listeners(
    hall: Precinct, lead: TestClient, scheme: str, host: str
) -> None:
    client = lead if scheme == "http" else joined(hall, lead)
    answer = client.get("/api/day", headers={"Host": host})
    assert (answer.status_code, answer.json()["code"]) == (421, "wrong-host")


def test_neither_listener_answers_to_the_names_of_the_other(
    hall: Precinct, lead: TestClient
) -> None:
    table = joined(hall, lead)
    assert table.get("/api/day", headers={"Host": HOST}).status_code == 421
    assert lead.get("/api/day", headers={"Host": AFAR}).status_code == 421


def test_two_host_headers_are_refused(hall: Precinct, lead: TestClient) -> None:
    answer = lead.get("/api/day", headers=[("Host", HOST), ("Host", "evil.example")])
    assert answer.status_code == 421


@pytest.mark.parametrize("scheme", ["http", "https"])
@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "null"},
        {"Origin": "https://evil.example"},
        {"Origin": "http://192.168.20.1:8408"},
        {"Origin": "https://192.168.20.1"},
        {"Origin": "https://127.0.0.1:8407"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "whatever"},
    ],
)
def test_what_another_page_asks_for_is_refused_on_both_listeners(
    hall: Precinct, lead: TestClient, scheme: str, headers: dict[str, str]
) -> None:
    client = lead
    if scheme == "https":
        client = joined(hall, lead)
        sign_on(hall, client, "LO")
    read = client.get("/api/log", headers=headers)
    written = client.post("/api/day/cut-off", json={}, headers={**WRITE, **headers})
    for answer in (read, written):
        assert (answer.status_code, answer.json()["code"]) == (403, "wrong-origin")
    assert lead.get("/api/day").json()["phase"] == "open"


def test_the_page_of_the_server_itself_is_answered_on_both_listeners(
    hall: Precinct, lead: TestClient
) -> None:
    table = joined(hall, lead)
    sign_on(hall, table)
    own = {"Origin": f"https://{AFAR}", "Sec-Fetch-Site": "same-origin"}
    assert table.post("/api/find", json={"text": "quill"}, headers=own).status_code == 200
    own = {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin"}
    assert lead.post("/api/find", json={"text": "quill"}, headers=own).status_code == 200


def test_strict_transport_is_asked_of_names_and_of_nothing_else(hall: Precinct) -> None:
    header = "strict-transport-security"
    assert header in browser(hall, host=NAME).get("/join.html").headers
    assert header in browser(hall, host=NAME).get("/api/day").headers
    assert header not in browser(hall).get("/join.html").headers
    assert header not in hall.client().get("/").headers


def test_every_answer_has_the_policy_that_keeps_the_page_shut_also_every_error(
    hall: Precinct, lead: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def mishap(*_: object) -> None:
        raise RuntimeError("inside")

    table = joined(hall, lead)
    sign_on(hall, table)
    monkeypatch.setattr("app.api.routes_lines.find", mishap)
    json_type = {"Content-Type": "application/json"}
    answers = {
        500: hall.post(table, "/api/find", {"text": "quill"}),
        421: table.get("/", headers={"Host": "evil.example"}),
        401: browser(hall, STRANGER).get("/api/day"),
        303: browser(hall, STRANGER).get("/"),
        403: hall.post(table, "/api/day/cut-off"),
        404: table.get("/api/nowhere"),
        405: hall.post(table, "/api/log"),
        413: table.post("/api/find", content=b" " * 70_000, headers=json_type),
        415: table.post("/api/find", content=b"{}", headers={"Content-Type": "text/plain"}),
        422: table.get("/api/log?after=x"),
    }
    for status, answer in answers.items():
        assert answer.status_code == status
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "access-control-allow-origin" not in answer.headers


def test_a_station_that_copies_the_register_line_by_line_is_stopped_and_told_to_the_lead(
    hall: Precinct, lead: TestClient
) -> None:
    table = joined(hall, lead)
    sign_on(hall, table)
    answers = [table.get(f"/api/lines/{hall.ids['plain']}").status_code for _ in range(80)]
    assert 60 <= answers.count(200) < 70
    assert answers[-1] == 429
    assert refused_kinds(hall, lead)["too-many"] >= 10


def test_refusals_are_written_once_a_minute_and_none_is_left_out(
    hall: Precinct, lead: TestClient
) -> None:
    ticking = stop_clocks(hall)
    stranger = browser(hall, STRANGER)
    for _ in range(30):
        stranger.get("/api/day")
    entries = refused(hall, lead)
    assert [one["count"] for one in entries] == [1]
    ticking.wait(60)
    hall.app.state.door.write_down()
    for _ in range(5):
        stranger.get("/api/day")
    entries = refused(hall, lead)
    assert [one["count"] for one in entries] == [1, 29]
    assert refused_kinds(hall, lead) == {"not-joined": 35}
    assert {one["address"] for one in entries} == {STRANGER}
    assert verify_database(hall.url).holds


def test_what_was_refused_needs_the_lead_until_they_have_looked(
    hall: Precinct, lead: TestClient
) -> None:
    browser(hall, STRANGER).get("/api/day")
    (told,) = refused(hall, lead)
    needs = lead.get("/api/attention").json()["items"]
    (item,) = [item for item in needs if item["kind"] == "refused-at-the-door"]
    assert item["facts"] == {"n": 1, "address": STRANGER, "refused": ["not-joined"]}
    body = {"up_to_seq": told["seq"]}
    assert hall.post(lead, "/api/door/looked-at", body).status_code == 200
    assert refused(hall, lead) == []
    kinds = [item["kind"] for item in lead.get("/api/attention").json()["items"]]
    assert "refused-at-the-door" not in kinds


@pytest.mark.parametrize("seq", [0, -1, 2**53, 10**30])
def test_a_number_that_no_entry_can_have_is_refused(
    hall: Precinct, lead: TestClient, seq: int
) -> None:
    head = lead.get("/api/day").json()["head"]
    assert hall.post(lead, "/api/door/looked-at", {"up_to_seq": seq}).status_code == 422
    assert lead.get("/api/day").json()["head"] == head


def test_an_address_comes_from_the_connection_and_no_header_changes_it(hall: Precinct) -> None:
    lead = hall.station("LO")
    forged = {
        "X-Forwarded-For": "10.9.9.9",
        "X-Forwarded-Proto": "http",
        "Forwarded": "for=1.1.1.1",
    }
    browser(hall, STRANGER).get("/api/day", headers=forged)
    (told,) = refused(hall, lead)
    assert told["address"] == STRANGER
    assert "10.9.9.9" not in json.dumps(told)
