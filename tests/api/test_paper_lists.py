"""Lists on paper: keyed row by row, counted against the printed total, finished or explained."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from app.desk.paper_proof import read_proof
from app.records.store import verify_database
from tests.api.conftest import Precinct
from tests.api.listing import kinds, outcome


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


@pytest.fixture
def table(precinct: Precinct) -> TestClient:
    return precinct.station("RM")


def start(precinct: Precinct, lead: TestClient, total: int, kind: str = "mail_voted") -> str:
    body = {"form": "paper", "kind": kind, "name": "Envelope 3", "printed_total": total}
    token = precinct.token()
    answer = precinct.post(lead, "/api/late-lists", body, token).json()
    assert precinct.post(lead, "/api/late-lists", body, token).json()["list"] == answer["list"]
    assert (answer["list"]["status"], answer["list"]["form"]) == ("keying", "paper")
    return str(answer["list"]["list_id"])


def key(precinct: Precinct, table: TestClient, list_id: str, who: str, **more: Any) -> Any:
    token = more.pop("token", None)
    body = {"line_id": precinct.ids[who], **more}
    return precinct.post(table, f"/api/late-lists/{list_id}/keyed", body, token)


def holds(precinct: Precinct) -> bool:
    found = verify_database(precinct.url)
    assert found.holds, found.fault
    return True


def test_each_row_is_recorded_at_once_with_the_initials_of_who_keyed_it(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = start(precinct, lead, 4)
    precinct.sign(table, "plain")
    token = precinct.token()
    first = key(precinct, table, list_id, "second ballot", token=token).json()
    assert key(precinct, table, list_id, "second ballot", token=token).json() == first
    assert (first["count"], first["printed_total"], first["row"]["effect"]) == (1, 4, "mark")
    assert first["receipt"]["initials"] == "RM"
    assert first["verdict"]["outcome"] == "stop"
    already = key(precinct, table, list_id, "mail").json()
    assert (already["count"], already["row"]["effect"]) == (2, "already")
    clash = key(precinct, table, list_id, "plain").json()
    assert clash["row"]["contradiction"]["code"] == "signed-already"
    assert clash["verdict"]["outcome"] == "call"
    missing = precinct.post(
        table, f"/api/late-lists/{list_id}/not-found", {"name": "Ambrose Nettlefold"}
    ).json()
    assert (missing["count"], missing["not_found"]) == (4, 1)
    done = precinct.post(table, f"/api/late-lists/{list_id}/finish", {}).json()
    assert done["list"]["status"] == "finished"
    assert done["list"]["tally"] == {
        "rows": 4,
        "applied": 2,
        "already": 1,
        "settled": 0,
        "refused": 1,
        "open": 0,
    }
    assert key(precinct, table, list_id, "card").json()["code"] == "list-finished"
    proof = read_proof(precinct.app.state.roster, list_id)
    assert (proof.count, proof.not_found, proof.initials) == (4, 1, ("RM",))
    assert proof.finished is not None
    assert proof.rows[3].row.last_name == "Ambrose Nettlefold"
    assert lead.get("/api/irregularities").json()["open"] == 1
    assert holds(precinct)


def test_a_row_keyed_twice_is_asked_about(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = start(precinct, lead, 2)
    key(precinct, table, list_id, "plain")
    again = key(precinct, table, list_id, "plain").json()
    assert (again["code"], again["row_number"], again["initials"]) == ("keyed-already", 1, "RM")
    assert again["local_time"]
    twice = key(precinct, table, list_id, "plain", twice=True).json()
    assert (twice["count"], twice["row"]["effect"]) == (2, "already")
    assert holds(precinct)


@pytest.mark.parametrize("kind", ["mail_voted", "removals"])
def test_a_row_keyed_by_mistake_is_taken_back(
    precinct: Precinct, lead: TestClient, table: TestClient, kind: str
) -> None:
    list_id = start(precinct, lead, 1, kind)
    key(precinct, table, list_id, "plain")
    assert outcome(precinct, table, "plain") == "stop"
    path = f"/api/late-lists/{list_id}/rows/1/undo"
    token = precinct.token()
    answer = precinct.post(table, path, {"reason": "a namesake"}, token).json()
    assert precinct.post(table, path, {"reason": "a namesake"}, token).json() == answer
    assert (answer["count"], answer["row"]["decision"]["how"]) == (0, "undone")
    assert outcome(precinct, table, "plain") == "sign"
    again = precinct.post(table, path, {"reason": "again"})
    assert again.json()["code"] == "nothing-to-withdraw"
    assert key(precinct, table, list_id, "plain").json()["count"] == 1
    assert holds(precinct)


def test_a_list_is_finished_with_the_totals_or_with_the_leads_reason(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = start(precinct, lead, 3)
    key(precinct, table, list_id, "plain")
    path = f"/api/late-lists/{list_id}/finish"
    differ = precinct.post(table, path, {}).json()
    assert (differ["code"], differ["count"], differ["printed_total"]) == ("totals-differ", 1, 3)
    by_worker = precinct.post(table, path, {"reason": "page two is missing"})
    assert by_worker.json()["code"] == "not-allowed"
    done = precinct.post(lead, path, {"reason": "page two is missing"}).json()
    assert done["list"]["reason"] == "page two is missing"
    assert done["receipt"]["kind"] == "late_list.finished"
    assert holds(precinct)


def test_a_list_on_paper_of_which_nothing_was_keyed_can_be_put_aside(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    empty, begun = start(precinct, lead, 3), start(precinct, lead, 3)
    key(precinct, table, begun, "plain")
    path = "/api/late-lists/{}/drop"
    assert precinct.post(lead, path.format(empty), {}).json()["list"]["status"] == "dropped"
    assert precinct.post(lead, path.format(begun), {}).json()["code"] == "nothing-to-withdraw"
    assert key(precinct, table, empty, "card").json()["code"] == "list-dropped"
    assert holds(precinct)


@pytest.mark.parametrize(
    ("path", "body", "code"),
    [
        ("/keyed", {}, "bad-request"),
        ("/keyed", {"line_id": "no-such-line"}, "not-found"),
        ("/keyed", {"line_id": "x", "surprise": 1}, "bad-request"),
        ("/not-found", {}, "bad-request"),
        ("/not-found", {"name": " "}, "bad-request"),
        ("/not-found", {"number": "x" * 33}, "bad-request"),
        ("/not-found", {"name": "x" * 121}, "bad-request"),
        ("/rows/1/undo", {"reason": "x"}, "not-found"),
        ("/rows/1/undo", {"reason": ""}, "bad-request"),
        ("/rows/0/undo", {"reason": "x"}, "bad-request"),
        ("/finish", {"reason": "x" * 501}, "bad-request"),
        ("/finish", {}, "totals-differ"),
    ],
)
def test_a_bad_step_is_refused_and_leaves_no_trace(
    precinct: Precinct,
    lead: TestClient,
    table: TestClient,
    path: str,
    body: dict[str, Any],
    code: str,
) -> None:
    list_id = start(precinct, lead, 2)
    answer = precinct.post(table, f"/api/late-lists/{list_id}{path}", body)
    assert answer.json()["code"] == code
    assert kinds(lead) == ["late_list.started"]
    unknown = precinct.post(table, f"/api/late-lists/no-such-list{path}", body)
    assert unknown.json()["code"] in ("not-found", "bad-request")


def test_applying_a_list_on_paper_is_refused(precinct: Precinct, lead: TestClient) -> None:
    list_id = start(precinct, lead, 2)
    answer = precinct.post(lead, f"/api/late-lists/{list_id}/apply")
    assert answer.json()["code"] == "nothing-to-record"
    assert kinds(lead) == ["late_list.started"]
