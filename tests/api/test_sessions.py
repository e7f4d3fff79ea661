"""How a sign-on ends, and what is answered while its page lies covered."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from app.api.access import _WHILE_COVERED, ACCESS, ANYBODY
from app.desk.joining import CODE_SECONDS, Codes
from app.desk.sessions import SHIFT_SECONDS, Sessions
from app.records.store import verify_database
from app.rules.faults import JoinCodeWrong
from app.server import build_app
from tests.api.conftest import HOST, PINS, Precinct
from tests.api.test_door import call
from tests.api.ticking import Ticking, stop_clocks

IDLE_SECONDS = 5 * 60
ROSA = {"initials": "RM", "pin": PINS["RM"], "station": "Table 1"}


@pytest.fixture
def covered(precinct: Precinct) -> TestClient:
    table = precinct.station("LO")
    assert precinct.post(table, "/api/cover").status_code == 200
    return table


@pytest.mark.parametrize(
    ("method", "path"),
    sorted(route for route, roles in ACCESS.items() if roles and "lead" in roles),
)
def test_under_the_cover_nothing_is_answered_but_what_uncovers(
    precinct: Precinct, covered: TestClient, method: str, path: str
) -> None:
    if path == "/api/log/live":
        return  # never ends; it names nobody
    answer = call(precinct, covered, method, path)
    if (method, path) in _WHILE_COVERED:
        assert answer.status_code == 200
    else:
        assert (answer.status_code, answer.json()["code"]) == (423, "covered")


def test_the_walk_under_the_cover_leaves_out_only_what_is_open_to_anybody_or_not_the_leads() -> (
    None
):
    walked = {route for route, roles in ACCESS.items() if roles and "lead" in roles}
    assert {route for route in ACCESS if route not in walked} == {
        route for route, roles in ACCESS.items() if roles is ANYBODY
    }


def test_the_pin_uncovers_with_a_new_session_and_the_old_cookie_is_dead(
    precinct: Precinct,
) -> None:
    table = precinct.station("RM")
    precinct.post(table, "/api/cover")
    assert table.get("/api/day").json()["is_covered"] is True
    old = table.cookies["tablebook_sign_on"]
    assert precinct.post(table, "/api/sign-on", ROSA).status_code == 200
    assert table.get("/api/day").json()["is_covered"] is False
    copied = precinct.client()
    copied.cookies.set("tablebook_sign_on", old)
    assert copied.get("/api/log").status_code == 401
    assert table.cookies["tablebook_sign_on"] != old
    assert precinct.sign(table, "plain").status_code == 200


def test_a_wrong_pin_leaves_the_page_covered(precinct: Precinct, covered: TestClient) -> None:
    wrong = {"initials": "LO", "pin": "000000", "station": "T"}
    assert precinct.post(covered, "/api/sign-on", wrong).status_code == 401
    assert covered.get("/api/log").status_code == 423


def test_the_cover_survives_a_restart(precinct: Precinct, covered: TestClient) -> None:
    with TestClient(build_app(precinct.url, {HOST}), base_url=f"http://{HOST}") as again:
        again.cookies = covered.cookies
        assert again.get("/api/log").status_code == 423


def test_a_station_that_slept_is_answered_nothing_until_the_pin_is_typed(
    precinct: Precinct,
) -> None:
    table, ticking = precinct.station("RM"), stop_clocks(precinct)
    ticking.wait(IDLE_SECONDS - 1)
    assert table.get("/api/log").status_code == 200  # it polls: awake
    ticking.wait(IDLE_SECONDS + 1)
    for _ in range(2):
        assert table.get("/api/log").json()["code"] == "covered"
    assert table.get("/api/day").json()["is_covered"] is True
    assert precinct.post(table, "/api/sign-on", ROSA).status_code == 200
    assert table.get("/api/log").status_code == 200


def test_the_time_while_the_laptop_itself_sleeps_counts_too(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """`time.monotonic` stands still meanwhile under Linux."""
    passed = Ticking()
    monkeypatch.setattr("app.records.clock._passed", passed)
    sessions, codes = Sessions(), Codes()
    code = codes.make()
    sessions.began("of a browser")
    assert not sessions.was_silent("of a browser", 5)
    passed.wait(max(IDLE_SECONDS, CODE_SECONDS) + 1)
    assert sessions.was_silent("of a browser", 5)
    with pytest.raises(JoinCodeWrong):
        codes.take(code, "after-the-sleep-0001")


def test_what_a_station_recorded_before_it_slept_stands_and_is_answered_again_by_its_key(
    precinct: Precinct,
) -> None:
    table, ticking = precinct.station("RM"), stop_clocks(precinct)
    first = precinct.sign(table, "plain", token="before-the-sleep-001")
    ticking.wait(IDLE_SECONDS + 1)
    assert precinct.sign(table, "plain", token="before-the-sleep-001").status_code == 423
    precinct.post(table, "/api/sign-on", ROSA)
    again = precinct.sign(table, "plain", token="before-the-sleep-001")
    assert (again.status_code, again.json()) == (200, first.json())


def test_a_sign_on_ends_with_the_shift_however_busy_it_is(precinct: Precinct) -> None:
    table, ticking = precinct.station("RM"), stop_clocks(precinct)
    for _ in range(int(SHIFT_SECONDS / IDLE_SECONDS)):
        assert table.get("/api/log").status_code == 200
        ticking.wait(IDLE_SECONDS - 1)
    ticking.wait(IDLE_SECONDS)
    assert table.get("/api/log").status_code == 401
    assert precinct.post(table, "/api/sign-on", ROSA).status_code == 200


def test_the_lead_ends_a_sign_on_and_the_log_says_so(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    kept = {one["initials"]: one for one in lead.get("/api/stations").json()["sign_ons"]}
    path = f"/api/sign-ons/{kept['RM']['seq']}/end"
    assert precinct.post(lead, path, token="end-sent-twice-0001").status_code == 200
    assert table.get("/api/log").status_code == 401
    assert precinct.post(lead, path, token="end-sent-twice-0001").status_code == 200
    assert precinct.post(lead, path).status_code == 404
    entry = lead.get("/api/log").json()["entries"][-1]
    assert entry["kind"] == "worker.sign_on_ended"
    assert (entry["body"]["ended"], entry["body"]["ended_station"]) == ("RM", "Table 1")
    assert verify_database(precinct.url).holds


def test_a_worker_is_unlocked_only_with_the_leads_own_pin(precinct: Precinct) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    lead = precinct.station("LO", "Lead's desk")
    for _ in range(10):
        precinct.post(client, "/api/sign-on", {**ROSA, "pin": "000000"})
        ticking.wait(120)
        lead.get("/api/day")
    workers = {one["initials"]: one for one in lead.get("/api/stations").json()["workers"]}
    assert workers["RM"]["is_locked"]
    path = f"/api/workers/{workers['RM']['worker_id']}/unlock"
    assert precinct.post(lead, path, {"pin": PINS["RM"]}).json()["code"] == "wrong-pin"
    assert precinct.post(client, "/api/sign-on", ROSA).json()["code"] == "pin-locked"
    assert precinct.post(lead, path, {"pin": PINS["LO"]}).status_code == 200
    assert precinct.post(client, "/api/sign-on", ROSA).status_code == 200
    kinds = [entry["kind"] for entry in lead.get("/api/log").json()["entries"]]
    assert kinds.count("worker.unlocked") == 1
    assert verify_database(precinct.url).holds


def test_unlocking_somebody_who_is_not_here_is_a_clear_error(precinct: Precinct) -> None:
    lead = precinct.station("LO")
    answer = precinct.post(lead, "/api/workers/00000000/unlock", {"pin": PINS["LO"]})
    assert answer.status_code == 404
