"""One code, one browser, one name: what a code does not let in after it has let somebody in."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.desk.joining import Browser, Codes, join
from app.rules.faults import AlreadyThere, JoinCodeWrong
from tests.api.conftest import PINS, Precinct
from tests.api.hall import (
    STRANGER,
    TABLE_TWO,
    browser,
    joined,
    new_code,
    refused_kinds,
    sign_on,
    try_code,
)
from tests.api.test_stations import hall, lead

__all__ = ["hall", "lead"]

KEY = "join-sent-again-0001"


def ask(hall: Precinct, client: TestClient, code: str, name: str = "Table 2") -> Any:
    """To join, with the same key each time."""
    return hall.post(client, "/api/join", {"code": code, "station": name}, KEY)


def take_out(hall: Precinct, lead: TestClient) -> None:
    for one in lead.get("/api/stations").json()["stations"]:
        assert hall.post(lead, f"/api/stations/{one['station_id']}/revoke").status_code == 200


def kinds(lead: TestClient) -> list[str]:
    entries = lead.get("/api/log", params={"limit": 1000}).json()["entries"]
    return [entry["kind"] for entry in entries]


def test_a_station_that_was_taken_out_does_not_get_back_in_with_what_let_it_in(
    hall: Precinct, lead: TestClient
) -> None:
    client, code = browser(hall), new_code(hall, lead)
    assert ask(hall, client, code).status_code == 200
    take_out(hall, lead)
    again = ask(hall, client, code)
    assert (again.status_code, again.json()["code"]) == (403, "join-code-wrong")
    assert client.get("/api/day").json()["code"] == "not-joined"
    assert [one["is_revoked"] for one in lead.get("/api/stations").json()["stations"]] == [True]
    # Nor with a fresh code: what comes in is a new station, which is written down.
    assert ask(hall, client, new_code(hall, lead)).status_code == 403
    assert joined(hall, lead).get("/api/day").status_code == 200
    assert kinds(lead).count("station.joined") == 2


@pytest.mark.parametrize(
    ("address", "agent", "name"),
    [
        (STRANGER, "Browser/1", "Table 2"),
        (TABLE_TWO, "Browser/2", "Table 2"),
        (TABLE_TWO, "Browser/1", "Table 3"),
    ],
)
def test_the_same_key_lets_in_no_other_device_browser_or_name(
    hall: Precinct, lead: TestClient, address: str, agent: str, name: str
) -> None:
    code, table = new_code(hall, lead), browser(hall)
    assert ask(hall, table, code).status_code == 200
    other = ask(hall, browser(hall, address, agent), code, name)
    assert (other.status_code, other.json()["code"]) == (403, "join-code-wrong")
    assert table.get("/api/day").status_code == 200
    assert [one["name"] for one in lead.get("/api/stations").json()["stations"]] == ["Table 2"]
    assert refused_kinds(hall, lead) == {"wrong-code": 1}


def test_a_code_that_has_let_somebody_in_is_not_given_back_by_a_name_that_is_taken(
    hall: Precinct, lead: TestClient
) -> None:
    joined(hall, lead)
    code = new_code(hall, lead)
    assert ask(hall, browser(hall, STRANGER), code, "Table 3").status_code == 200
    assert ask(hall, browser(hall, STRANGER), code, "Table 2").status_code == 403
    second = try_code(hall, browser(hall, "192.168.20.67"), code, "Table 4")
    assert (second.status_code, second.json()["code"]) == (403, "join-code-wrong")


def test_a_code_given_back_while_it_lets_somebody_in_lets_in_nobody_else(
    hall: Precinct, lead: TestClient
) -> None:
    """Two requests with one key: the second finds its name taken before the first is written."""
    codes, secret = Codes(), "0" * 43
    write = hall.app.state.roster.store.writer.write
    code = codes.make()
    codes.take(code, KEY)
    codes.take(code, KEY)
    joined(hall, lead)
    with pytest.raises(AlreadyThere):
        write(lambda unit: join(unit, codes, KEY, "Table 2", Browser(STRANGER, ""), secret))
    codes.give_back(KEY)
    codes.take(code, "another-browser-0001")
    head = lead.get("/api/day").json()["head"]
    with pytest.raises(JoinCodeWrong):
        write(lambda unit: join(unit, codes, KEY, "Table 3", Browser(STRANGER, ""), secret))
    assert lead.get("/api/day").json()["head"] == head


def test_of_many_browsers_with_one_code_at_once_one_is_let_in(
    hall: Precinct, lead: TestClient
) -> None:
    code = new_code(hall, lead)

    def go(number: int) -> int:
        device = browser(hall, f"192.168.20.{70 + number}")
        return int(try_code(hall, device, code, f"Table {number}").status_code)

    with ThreadPoolExecutor(6) as pool:
        assert sorted(pool.map(go, range(6))) == [200, 403, 403, 403, 403, 403]


LOOKS_THE_SAME = ["table  2", " TABLE 2 ", "Table\u00a02", "Table\u2028 2", "\uff34able \uff12"]


@pytest.mark.parametrize("name", LOOKS_THE_SAME)
def test_a_name_that_people_would_read_as_anothers_is_taken(
    hall: Precinct, lead: TestClient, name: str
) -> None:
    joined(hall, lead)
    answer = try_code(hall, browser(hall, STRANGER), new_code(hall, lead), name)
    assert (answer.status_code, answer.json()["code"]) == (409, "already-there")


@pytest.mark.parametrize(
    "name", ["Table 2\u200b", "\u202e2 elbaT", "Ta\u00adble 2", "Table\ufeff 2", "\ue000", "a\x85b"]
)
def test_a_name_with_something_in_it_that_nobody_sees_is_refused_and_uses_no_code(
    hall: Precinct, lead: TestClient, name: str
) -> None:
    code = new_code(hall, lead)
    answer = try_code(hall, browser(hall), code, name)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    body = {"initials": "RM", "pin": PINS["RM"], "station": name}
    assert hall.post(hall.client(), "/api/sign-on", body).status_code == 422
    assert (
        try_code(hall, browser(hall), code, "Mesa  2, señal").json()["station"] == "Mesa 2, señal"
    )


@pytest.mark.parametrize("name", ["Table 2", *LOOKS_THE_SAME])
def test_nobody_signs_on_at_the_laptop_under_the_name_of_a_joined_station(
    hall: Precinct, lead: TestClient, name: str
) -> None:
    table = joined(hall, lead)
    body = {"initials": "TB", "pin": PINS["TB"], "station": name}
    here = hall.client()
    answer = hall.post(here, "/api/sign-on", body)
    assert (answer.status_code, answer.json()["code"]) == (409, "already-there")
    assert here.get("/api/log").status_code == 401
    assert sign_on(hall, table).json()["station"] == "Table 2"
    take_out(hall, lead)
    assert hall.post(here, "/api/sign-on", body).status_code == 200


def test_no_station_joins_under_a_name_that_somebody_works_under_at_the_laptop(
    hall: Precinct, lead: TestClient
) -> None:
    here = hall.station("RM", "Table 1")
    code = new_code(hall, lead)
    answer = try_code(hall, browser(hall), code, "table 1")
    assert (answer.status_code, answer.json()["code"]) == (409, "already-there")
    assert hall.post(here, "/api/sign-off").status_code == 200
    assert try_code(hall, browser(hall), code, "table 1").status_code == 200
