"""A page asks whether the record still has what it saw."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.conftest import Precinct


def head_of(client: TestClient) -> dict[str, Any]:
    return dict(client.get("/api/day").json()["head"])


def is_there(precinct: Precinct, client: TestClient, seen: dict[str, Any]) -> bool:
    answer = precinct.post(client, "/api/log/seen", seen)
    assert answer.status_code == 200, answer.text
    return bool(answer.json()["is_there"])


def written_up(lead: TestClient) -> list[dict[str, Any]]:
    every = lead.get("/api/irregularities").json()["irregularities"]
    return [one for one in every if one["code"] == "record-is-older"]


def test_what_was_seen_and_stands_is_there_however_long_the_log_grew(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    seen = head_of(table)
    for _ in range(3):
        precinct.station("RM", "Table 2")
    assert head_of(table)["seq"] > seen["seq"]
    assert is_there(precinct, table, seen)
    assert written_up(lead) == []


@pytest.mark.parametrize("change", [{"seq": 10_000}, {"hash": "ab" * 32}])
def test_what_is_gone_is_written_up_once_and_waits_for_the_lead(
    precinct: Precinct, change: dict[str, Any]
) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    seen = {**head_of(table), **change}
    before = head_of(table)["seq"]
    assert not is_there(precinct, table, seen)
    assert not is_there(precinct, lead, seen)
    (one,) = written_up(lead)
    assert one["facts"] == {"seen": seen["seq"], "seen_hash": seen["hash"], "ends": before}
    assert head_of(table)["seq"] == before + 1
    kinds = [item["kind"] for item in lead.get("/api/attention").json()["items"]]
    assert "irregularity-open" in kinds


def test_once_the_lead_has_settled_it_the_record_is_taken_as_it_is(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    seen = {**head_of(table), "seq": 10_000}
    assert not is_there(precinct, table, seen)
    (one,) = written_up(lead)
    settled = precinct.post(
        lead, f"/api/irregularities/{one['seq']}/settle", {"how": "the registrar says go on"}
    )
    assert settled.status_code == 200
    assert is_there(precinct, table, seen)
    assert not is_there(precinct, table, {**seen, "hash": "cd" * 32})


def test_a_page_that_showed_another_record_before_says_nothing_of_this_one(
    precinct: Precinct,
) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    assert is_there(precinct, table, {"began": "12" * 32, "seq": 9_999, "hash": "ab" * 32})
    assert written_up(lead) == []


@pytest.mark.parametrize(
    "bad",
    [
        {},
        {"began": "x", "seq": 1, "hash": "y"},
        {"began": "12" * 32, "seq": 0, "hash": "12" * 32},
        {"began": "12" * 32, "seq": 1, "hash": "12" * 32, "more": 1},
        {"began": "12" * 32, "seq": "1e999", "hash": "12" * 32},
    ],
)
def test_what_is_no_head_is_refused_and_nothing_is_written(
    precinct: Precinct, bad: dict[str, Any]
) -> None:
    table = precinct.station("RM")
    before = head_of(table)
    assert precinct.post(table, "/api/log/seen", bad).status_code == 422
    assert head_of(table) == before


def test_nobody_who_is_not_signed_on_can_raise_the_alarm(precinct: Precinct) -> None:
    stranger = precinct.client()
    asked = {"began": "12" * 32, "seq": 5, "hash": "12" * 32}
    assert precinct.post(stranger, "/api/log/seen", asked).status_code == 401
