"""What a worker writes of people who do not simply sign, and how a refusal is looked at."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.testclient import TestClient

from tests.api.conftest import Precinct

AFFIDAVIT: Mapping[str, Any] = {
    "last_name": "Nettlefold",
    "first_name": "Ambrose",
    "birth_date": "11/2/1974",
    "street_address": "8 Ropewalk Lane",
    "city": "Ternhaven",
    "ballot_button": 1,
    "authorised_by": "Clerk on duty",
    "authorised_how": "phone",
    "how": "paper",
}
PROVISIONAL: Mapping[str, Any] = {
    "reason": "not-on-a-list",
    "name": "Ambrose Nettlefold",
    "street_address": "8 Ropewalk Lane",
    "ballot_button": 1,
    "envelope": "P-0001",
    "affirmed": True,
    "how": "paper",
}
LEFT: Mapping[str, Any] = {"way": "left", "reason": "in a hurry", "provisional_declined": True}


def head(precinct: Precinct, client: TestClient) -> Any:
    return client.get("/api/day").json()["head"]


def refused(
    precinct: Precinct, client: TestClient, path: str, body: Mapping[str, Any]
) -> tuple[int, str]:
    """The status and code of a refusal that left nothing behind."""
    before = head(precinct, client)
    answer = precinct.post(client, path, dict(body))
    assert answer.status_code != 200, answer.json()
    assert head(precinct, client) == before
    assert answer.json()["what_to_do"]
    return answer.status_code, answer.json()["code"]
