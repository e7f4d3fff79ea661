"""The close: counts that anybody with the log can count again, and a difference with its causes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from starlette.testclient import TestClient

from app.desk.machines import readings_off
from app.records.clock import SystemClock
from app.records.entry import canonical
from app.records.store import open_store
from app.records.verify import verify
from tests.api.whole_day import PACKAGED, SERIALS, VOTERS, WholeDay, place

ONE, OTHER = SERIALS


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WholeDay]:
    with place(tmp_path) as whole_day:
        yield whole_day
        whole_day.must_verify()


@pytest.fixture
def lead(here: WholeDay) -> TestClient:
    lead = here.station("LO", "Lead's desk")
    here.open(lead)
    return lead


def sign(here: WholeDay, *voters: str) -> None:
    table = here.station("RM")
    for voter in voters:
        evidence = {"birth_date": "5/17/1980"}
        assert here.sign(table, voter, evidence=evidence).status_code == 200, voter


def read_all(here: WholeDay, lead: TestClient, at: str, first: int, second: int) -> list[Any]:
    return [
        here.read(lead, serial, at, public, PACKAGED[serial] + public)
        for serial, public in zip(SERIALS, (first, second), strict=True)
    ]


def balance(lead: TestClient) -> Any:
    return lead.get("/api/reconciliation").json()


def recounted(entries: list[dict[str, Any]]) -> dict[str, int]:
    """From the entries of GET /api/log alone, with nothing of the program's own."""
    signed: dict[str, bool] = {}
    close: dict[str, int] = {}
    kinds = Counter(entry["kind"] for entry in entries)
    for entry in entries:
        line, kind, body = entry["line_id"], entry["kind"], entry["body"]
        if kind in ("signature.recorded", "voter.returned"):
            signed[line] = True
        elif kind == "signature.withdrawn":
            del signed[line]
        elif kind == "voter.left":
            signed[line] = False
        elif kind == "machine.counted" and body["at_moment"] == "close":
            close[body["serial"]] = body["public"]
    return {
        "signatures": len(signed),
        "left": list(signed.values()).count(False),
        "expected": list(signed.values()).count(True),
        "machines": sum(close.values()),
        "provisional": kinds["provisional.recorded"] - kinds["provisional.withdrawn"],
    }


def test_the_terms_can_be_counted_again_from_the_log_alone(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:6])
    post = here.post
    line = here.ids[VOTERS[0]]
    post(lead, f"/api/lines/{line}/left", {"reason": "went home"})
    gone = f"/api/lines/{here.ids[VOTERS[1]]}/signature/withdraw"
    post(lead, gone, {"reason": "wrong line", "why": "wrong_line"})
    read_all(here, lead, "close", 3, 2)
    again = {"replaces": here.head(lead), "reason": "read again"}
    assert here.read(lead, OTHER, "close", 1, PACKAGED[OTHER] + 1, **again).status_code == 200
    found = balance(lead)
    counted = recounted(here.entries(lead))
    assert {name: found["terms"][name] for name in counted} == counted
    assert found["difference"] == counted["machines"] - counted["expected"] == 0
    assert found["balances"]


def test_a_paper_list_that_was_finished_with_a_reason_asks_for_none_at_the_close(
    here: WholeDay, lead: TestClient
) -> None:
    body = {"form": "paper", "kind": "mail_voted", "name": "Envelope 3", "printed_total": 2}
    started = here.post(lead, "/api/late-lists", body).json()
    read_all(here, lead, "close", 0, 0)
    assert balance(lead)["balances"] is False
    path = f"/api/late-lists/{started['list']['list_id']}/finish"
    here.post(lead, path, {"reason": "the second page is missing"})
    found = balance(lead)
    (marks,) = found["marks"]
    assert (marks["difference"], marks["reason"]) == (-2, "the second page is missing")
    assert found["balances"] is True
    here.post(lead, "/api/day/cut-off")
    assert here.post(lead, "/api/day/close").status_code == 200


def test_a_day_that_balances_closes_without_a_word_and_keeps_its_balance(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:3])
    here.post(lead, "/api/day/cut-off")
    read_all(here, lead, "close", 2, 1)
    assert here.post(lead, "/api/day/close").status_code == 200
    closed = here.entries(lead)[-1]
    assert closed["kind"] == "day.closed"
    assert (closed["body"]["difference"], closed["body"]["reason"]) == (0, "")
    assert closed["body"]["balance"] == balance(lead)["terms"]


def test_a_difference_closes_only_with_a_reason_which_is_an_irregularity(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:3])
    here.post(lead, "/api/day/cut-off")
    read_all(here, lead, "close", 1, 1)
    before = here.head(lead)
    refused = here.post(lead, "/api/day/close")
    assert (refused.status_code, refused.json()["code"]) == (409, "does-not-balance")
    assert (refused.json()["difference"], refused.json()["missing"]) == (-1, [])
    assert refused.json()["causes"][0]["code"] == "left-unrecorded"
    assert here.post(lead, "/api/day/close", {"reason": "  "}).status_code == 409
    assert here.head(lead) == before
    token, body = here.token(), {"reason": "counted three times; nobody knows"}
    first, again = (here.post(lead, "/api/day/close", body, token) for _ in range(2))
    assert first.json() == again.json()
    other = here.post(lead, "/api/day/close", {"reason": "another"}, token)
    assert other.json()["code"] == "token-reused"
    one = lead.get("/api/irregularities").json()["irregularities"][-1]
    assert (one["code"], one["what"]) == ("closed-with-difference", body["reason"])
    assert one["facts"]["difference"] == -1


def test_a_machine_that_is_not_read_is_named_at_the_close(here: WholeDay, lead: TestClient) -> None:
    sign(here, *VOTERS[:3])
    here.post(lead, "/api/day/cut-off")
    here.read(lead, ONE, "close", 1, PACKAGED[ONE] + 1)
    refused = here.post(lead, "/api/day/close").json()
    assert refused["missing"] == [{"what": "machine", "name": OTHER}]
    assert (refused["difference"], refused["so_far"]) == (None, -2)
    assert refused["causes"][0]["code"] == "machine-not-read"


def test_two_voters_on_look_alike_lines_are_told_with_their_lines(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS)
    read_all(here, lead, "close", 4, 3)
    found = {cause["code"]: cause for cause in balance(lead)["causes"]}
    cause = found["signed-on-two-lines"]
    assert cause["lines"] == [here.ids[voter] for voter in VOTERS[-2:]]
    assert (cause["delta"], cause["wholly"], cause["explains"]) == (-1, True, "machines")
    assert cause["times"][0]["local_begins"]


def test_a_reading_replaces_another_only_by_name_and_with_a_reason(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:3])
    first = here.read(lead, ONE, "close", 2, PACKAGED[ONE] + 2).json()
    again = here.read(lead, ONE, "close", 3, PACKAGED[ONE] + 3).json()
    assert (again["code"], again["seq"], again["public"]) == ("counted-already", first["seq"], 2)
    for more in (
        {"replaces": first["seq"]},
        {"replaces": 1, "reason": "that is the package"},
        {"replaces": first["seq"] + 999, "reason": "no such entry"},
    ):
        assert here.read(lead, ONE, "close", 3, None, **more).json()["code"] == "bad-request"
    wrong = here.read(lead, OTHER, "close", 3, None, replaces=first["seq"], reason="mixed up")
    assert wrong.json()["code"] == "bad-request"
    right = {"replaces": first["seq"], "reason": "a digit misread"}
    assert here.read(lead, ONE, "close", 3, PACKAGED[ONE] + 3, **right).status_code == 200
    (one, _) = lead.get("/api/machines").json()["machines"]
    assert [reading["replaced_by"] is not None for reading in one["readings"]] == [True, False]
    assert one["close"]["public"] == 3


def test_a_counter_that_goes_down_is_refused_at_once_and_kept_with_a_reason(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:6])
    here.read(lead, ONE, "during", 4, PACKAGED[ONE] + 4)
    down = here.read(lead, ONE, "during", 3, PACKAGED[ONE] + 5).json()
    assert [one["code"] for one in down["doubts"]] == [
        "counter-went-down",
        "protective-moved-otherwise",
    ]
    kept = here.read(lead, ONE, "during", 3, PACKAGED[ONE] + 5, anyway=True, reason="so it stands")
    assert kept.json()["irregularity"]["kind"] == "irregularity.recorded"
    (one, _) = lead.get("/api/machines").json()["machines"]
    assert [doubt["code"] for doubt in one["doubts"]] == [
        "counter-went-down",
        "protective-moved-otherwise",
    ]


def test_one_ballot_ahead_of_the_table_is_told_at_once_and_waiting_voters_are_not(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:4])
    here.read(lead, ONE, "during", 1, PACKAGED[ONE] + 1)
    quiet = here.read(lead, OTHER, "during", 1, PACKAGED[OTHER] + 1).json()
    assert quiet["flags"] == []
    loud = here.read(lead, OTHER, "during", 4, PACKAGED[OTHER] + 4).json()
    assert [flag["code"] for flag in loud["flags"]] == ["reading-differs"]
    assert loud["flags"][0]["facts"] == {"machines": 5, "signed": 4, "difference": 1}
    off = lead.get("/api/machines").json()["off"]
    assert (off["difference"], off["serials"]) == (1, list(SERIALS))
    roster = here.app.state.roster
    told = roster.store.read(lambda c: readings_off(c, roster.setting))
    assert (told.difference, told.entry.initials) == (1, "LO")
    sign(here, VOTERS[4])
    read_all(here, lead, "during", 1, 4)
    assert lead.get("/api/machines").json()["off"] is None


@pytest.mark.parametrize(
    "body",
    [
        {"at_moment": "noon", "public": 1},
        {"at_moment": "close", "public": -1},
        {"at_moment": "close", "public": 10**9},
        {"at_moment": "close", "public": "many"},
        {"at_moment": "close", "public": 1, "by_button": {"red": 1}},
        {"at_moment": "close", "public": 1, "by_button": {"9": 1}},
        {"at_moment": "close", "public": 1, "zero_report": {}},
        {"public": 1},
    ],
)
def test_a_reading_that_cannot_be_read_is_refused(
    here: WholeDay, lead: TestClient, body: dict[str, Any]
) -> None:
    before = here.head(lead)
    answer = here.post(lead, f"/api/machines/{ONE}/readings", body)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    assert here.head(lead) == before


def test_before_the_polls_open_only_the_zero_report_is_read(tmp_path: Path) -> None:
    with place(tmp_path) as here:
        lead = here.station("LO")
        for at in ("during", "close"):
            answer = here.read(lead, ONE, at, 0, PACKAGED[ONE])
            assert answer.json()["code"] == "turn-out-of-order"


def test_a_worker_sees_no_reconciliation_and_a_registrar_does(
    here: WholeDay, lead: TestClient
) -> None:
    assert here.station("RM").get("/api/reconciliation").json()["code"] == "not-allowed"
    assert here.station("GS").get("/api/reconciliation").status_code == 200


def test_after_the_close_is_taken_back_the_day_can_be_closed_right(
    here: WholeDay, lead: TestClient
) -> None:
    sign(here, *VOTERS[:3])
    here.post(lead, "/api/day/cut-off")
    read_all(here, lead, "close", 2, 2)
    here.post(lead, "/api/day/close", {"reason": "one too many"})
    here.post(lead, "/api/day/withdraw-turn", {"turn": "day.closed", "reason": "it was misread"})
    seq = lead.get("/api/machines").json()["machines"][1]["close"]["seq"]
    again = {"replaces": seq, "reason": "it reads 1"}
    assert here.read(lead, OTHER, "close", 1, PACKAGED[OTHER] + 1, **again).status_code == 200
    assert here.post(lead, "/api/day/close").status_code == 200
    assert here.entries(lead)[-1]["body"]["difference"] == 0


def test_a_balance_that_was_changed_in_the_record_is_found_by_verify(tmp_path: Path) -> None:
    """As if a program with a wrong sum had written it: the chain itself holds."""
    with place(tmp_path) as here:
        lead = here.station("LO")
        here.open(lead)
        sign(here, *VOTERS[:2])
        here.post(lead, "/api/day/cut-off")
        read_all(here, lead, "close", 1, 1)
        here.post(lead, "/api/day/close")
        url = here.url
    with open_store(url, SystemClock()) as store:
        store.writer.write(_with_a_wrong_sum)
        found = store.read(verify)
    assert not found.holds
    assert "balance" in str(found.fault)


def _with_a_wrong_sum(unit: Any) -> None:
    from app.records import queries

    last = queries.entries_of(unit.connection, "day.closed")[-1]
    terms = {**last.body["balance"], "left": 1}
    body = {**last.body, "balance": terms}
    changed = type(last)(
        **{
            **{name: getattr(last, name) for name in last.__dataclass_fields__},
            "body": body,
            "hash": "",
        }
    )
    values = {"seq": last.seq, "body": canonical(body), "hash": changed.computed_hash()}
    unit.connection.execute(
        text("UPDATE day_log SET body = :body, hash = :hash WHERE seq = :seq"), values
    )
