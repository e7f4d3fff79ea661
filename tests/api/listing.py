"""Late lists as the tests bring them: rows of the precinct's own people, as CSV in base64."""

from __future__ import annotations

import base64
from typing import Any

from starlette.testclient import TestClient

from tests.api.conftest import PEOPLE, Precinct

HEADING = "Voter number,Last name,First name,Birth date"


def row_of(who: str, **changed: str) -> str:
    """The row of somebody in PEOPLE; `changed` says what the list has otherwise."""
    printed = PEOPLE[who]
    cells = {
        "voter_number": printed.voter_number,
        "last_name": printed.last_name,
        "first_name": printed.first_name,
        "birth_date": printed.birth_date.isoformat(),
        **changed,
    }
    return ",".join(cells.values())


def file_of(*rows: str, heading: str = HEADING) -> str:
    return base64.b64encode("\r\n".join((heading, *rows, "")).encode()).decode()


def bring(
    precinct: Precinct,
    lead: TestClient,
    *rows: str,
    kind: str = "mail_voted",
    name: str = "mail-1400.csv",
    **more: Any,
) -> Any:
    """The answer to a list with these rows."""
    heading = more.pop("heading", HEADING)
    token = more.pop("token", None)
    body = {"kind": kind, "name": name, "content_base64": file_of(*rows, heading=heading), **more}
    return precinct.post(lead, "/api/late-lists", body, token)


def apply(precinct: Precinct, lead: TestClient, list_id: str, token: str | None = None) -> Any:
    return precinct.post(lead, f"/api/late-lists/{list_id}/apply", {}, token)


def bring_and_apply(precinct: Precinct, lead: TestClient, *rows: str, **more: Any) -> Any:
    """The list as it stands after it was applied."""
    brought = bring(precinct, lead, *rows, **more)
    assert brought.status_code == 200, brought.json()
    answer = apply(precinct, lead, brought.json()["list"]["list_id"])
    assert answer.status_code == 200, answer.json()
    return answer.json()


def outcome(precinct: Precinct, client: TestClient, who: str) -> str:
    return str(precinct.sheet(client, who)["verdict"]["outcome"])


def kinds(client: TestClient) -> list[str]:
    """The kinds of the entries after the sign-ons and the opening."""
    entries = client.get("/api/log?limit=1000").json()["entries"]
    skipped = {"package.loaded", "worker.signed_on", "day.opened"}
    return [entry["kind"] for entry in entries if entry["kind"] not in skipped]
