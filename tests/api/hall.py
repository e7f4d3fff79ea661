"""A hall with further stations: browsers on other devices, over TLS as the server sees it."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from tests.api.conftest import PINS, Precinct

ADDRESS = "192.168.20.1"
AFAR = f"{ADDRESS}:8408"
NAME = "laptop.local:8408"
TABLE_TWO = "192.168.20.22"
STRANGER = "192.168.20.66"


def open_hall(precinct: Precinct) -> None:
    """Answer to other devices too."""
    precinct.app.state.door.station_hosts = frozenset({AFAR, NAME})


def browser(
    precinct: Precinct, address: str = TABLE_TWO, agent: str = "Browser/1", host: str = AFAR
) -> TestClient:
    """A browser at `address`, which has not joined yet."""
    return TestClient(
        precinct.app,
        base_url=f"https://{host}",
        headers={"User-Agent": agent},
        client=(address, 50_000),
        raise_server_exceptions=False,
        follow_redirects=False,
    )


def new_code(precinct: Precinct, lead: TestClient) -> str:
    code: str = precinct.post(lead, "/api/stations/code").json()["code"]
    return code


def try_code(precinct: Precinct, client: TestClient, code: str, name: str = "Table 2") -> Any:
    return precinct.post(client, "/api/join", {"code": code, "station": name})


def joined(
    precinct: Precinct, lead: TestClient, name: str = "Table 2", address: str = TABLE_TWO
) -> TestClient:
    """A browser that has joined."""
    client = browser(precinct, address)
    answer = try_code(precinct, client, new_code(precinct, lead), name)
    assert answer.status_code == 200, answer.json()
    return client


def sign_on(precinct: Precinct, client: TestClient, initials: str = "RM") -> Any:
    body = {"initials": initials, "pin": PINS[initials], "station": "whatever is typed"}
    return precinct.post(client, "/api/sign-on", body)


def refused(precinct: Precinct, lead: TestClient) -> list[dict[str, Any]]:
    """The refusals that the lead is shown, once the writer has written them."""
    precinct.app.state.roster.store.writer.write(lambda unit: None)
    found: list[dict[str, Any]] = lead.get("/api/stations").json()["refused"]
    return found


def refused_kinds(precinct: Precinct, lead: TestClient) -> dict[str, int]:
    """What the lead is shown of the door, by kind."""
    found: dict[str, int] = {}
    precinct.app.state.door.write_down(everything=True)
    for one in refused(precinct, lead):
        found[one["refused"]] = found.get(one["refused"], 0) + one["count"]
    return found
