"""Supplemental pages on paper as the tests key them."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from tests.api.conftest import PEOPLE, Precinct

# Nobody like this is in PEOPLE.
NEW = {
    "voter_number": "200000001",
    "last_name": "Nettlefold",
    "first_name": "Ambrose",
    "birth_date": "3/4/1987",
    "street_address": "8 Ropewalk Lane",
    "city": "Ternhaven",
    "ballot_button": 2,
}


def begin(precinct: Precinct, lead: TestClient, total: int, kind: str = "supplemental") -> str:
    body = {"form": "paper", "kind": kind, "name": "Page 2", "printed_total": total}
    answer = precinct.post(lead, "/api/late-lists", body)
    assert answer.status_code == 200, answer.json()
    return str(answer.json()["list"]["list_id"])


def key_row(
    precinct: Precinct,
    table: TestClient,
    list_id: str,
    token: str | None = None,
    **changed: Any,
) -> Any:
    """Key a row of NEW with what is changed."""
    body = {**NEW, **changed}
    return precinct.post(table, f"/api/late-lists/{list_id}/people", body, token)


def keyed(precinct: Precinct, table: TestClient, list_id: str, **changed: Any) -> Any:
    answer = key_row(precinct, table, list_id, **changed)
    assert answer.status_code == 200, answer.json()
    return answer.json()


def as_printed(who: str, **changed: Any) -> dict[str, Any]:
    """Somebody of PEOPLE as a page has them."""
    printed = PEOPLE[who]
    row = {
        "voter_number": printed.voter_number,
        "last_name": printed.last_name,
        "first_name": printed.first_name,
        "suffix": printed.suffix,
        "birth_date": printed.birth_date.isoformat(),
    }
    return {**row, **changed}
