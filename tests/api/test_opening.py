"""The opening: checks ticked by name and hour, machines and seals read, and then the polls."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.rules.checklists import SHIPPED
from app.rules.policy import Policy
from app.rules.setting import ChecklistItem
from tests.api.whole_day import SERIALS, WholeDay, place

REQUIRED = [one.code for one in SHIPPED if one.stage == "opening" and one.required]
OWN = (
    ChecklistItem("opening", "seals-read", "Seals are read."),
    ChecklistItem("opening", "radio-tried", "The radio was tried.", required=False),
)


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WholeDay]:
    """A place with two machines and the checks that the program ships."""
    with place(tmp_path) as precinct:
        yield precinct
        precinct.must_verify()


@pytest.fixture
def lead(here: WholeDay) -> TestClient:
    return here.station("LO", "Lead's desk")


def tick(here: WholeDay, who: TestClient, code: str, **more: Any) -> Any:
    body = {"code": code, "passed": True, **more}
    return here.post(who, "/api/checklists/opening", body)


def test_a_tick_says_who_made_the_check_and_when(here: WholeDay, lead: TestClient) -> None:
    worker = here.station("RM")
    assert tick(here, worker, "oath-taken").status_code == 200
    checks = lead.get("/api/checklists/opening").json()
    first = checks["items"][0]
    assert (first["code"], first["tick"]["initials"], first["tick"]["passed"]) == (
        "oath-taken",
        "RM",
        True,
    )
    assert checks["shipped"] is True
    assert checks["missing"] == REQUIRED[1:]
    assert lead.get("/api/checklists/closing").json()["items"][0]["tick"] is None


def test_a_failed_check_opens_an_irregularity_and_says_whom_to_call(
    here: WholeDay, lead: TestClient
) -> None:
    answer = tick(here, lead, "zero-report", passed=False, note="TM-0417 shows 3").json()
    assert answer["call"] == {"office": "Tern County Registrar of Voters", "phone": "555-0142"}
    assert answer["irregularity"]["seq"] == answer["seq"] - 1
    (one,) = lead.get("/api/irregularities").json()["irregularities"]
    assert (one["irregularity"], one["code"], one["what"]) == (
        "machine",
        "check-failed",
        "TM-0417 shows 3",
    )
    checks = lead.get("/api/checklists/opening").json()
    assert checks["failed"] == ["zero-report"]
    assert tick(here, lead, "zero-report").status_code == 200
    assert lead.get("/api/checklists/opening").json()["failed"] == []


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"code": "nothing-of-the-kind", "passed": True}, 404, "not-found"),
        ({"code": "oath-taken", "passed": False}, 422, "bad-request"),
        ({"code": "oath-taken", "passed": True, "note": "kept nowhere"}, 422, "bad-request"),
        ({"code": "oath-taken"}, 422, "bad-request"),
        ({"code": "oath-taken", "passed": "perhaps"}, 422, "bad-request"),
    ],
)
def test_a_tick_that_cannot_be_is_refused_and_leaves_no_trace(
    here: WholeDay, lead: TestClient, body: dict[str, Any], status: int, code: str
) -> None:
    before = here.head(lead)
    answer = here.post(lead, "/api/checklists/opening", body)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert here.post(lead, "/api/checklists/noon", {**body, "passed": True}).status_code == 404
    assert here.head(lead) == before


def test_the_same_tick_sent_twice_is_one_tick_and_one_irregularity(
    here: WholeDay, lead: TestClient
) -> None:
    body = {"code": "safety-walk", "passed": False, "note": "a loose cord"}
    token = here.token()
    first, second = (here.post(lead, "/api/checklists/opening", body, token) for _ in range(2))
    assert first.json() == second.json()
    other = here.post(lead, "/api/checklists/opening", {**body, "note": "another"}, token)
    assert other.json()["code"] == "token-reused"
    assert len(lead.get("/api/irregularities").json()["irregularities"]) == 1


def test_the_polls_stay_closed_until_every_required_check_is_made(
    here: WholeDay, lead: TestClient
) -> None:
    refused = here.post(lead, "/api/day/open")
    assert (refused.status_code, refused.json()["code"]) == (409, "opening-not-ready")
    assert refused.json()["missing"] == REQUIRED
    for code in REQUIRED[:-1]:
        tick(here, lead, code)
    tick(here, lead, REQUIRED[-1], passed=False, note="no envelopes")
    answer = here.post(lead, "/api/day/open").json()
    assert (answer["missing"], answer["failed"]) == ([], REQUIRED[-1:])
    tick(here, lead, REQUIRED[-1])
    assert here.post(lead, "/api/day/open").status_code == 200
    # Only the failed check is an irregularity: nothing was left out at the opening.
    codes = [one["code"] for one in lead.get("/api/irregularities").json()["irregularities"]]
    assert codes == ["check-failed"]


def test_a_lead_who_opens_all_the_same_says_why_and_that_is_an_irregularity(
    here: WholeDay, lead: TestClient
) -> None:
    token = here.token()
    body = {"anyway": "voters stand in the rain"}
    first, again = (here.post(lead, "/api/day/open", body, token) for _ in range(2))
    assert first.json() == again.json()
    assert first.json()["kind"] == "day.opened"
    other = here.post(lead, "/api/day/open", {"anyway": "another reason"}, token)
    assert other.json()["code"] == "token-reused"
    (one,) = lead.get("/api/irregularities").json()["irregularities"]
    assert (one["code"], one["what"]) == ("opened-before-ready", "voters stand in the rain")
    assert one["facts"]["missing"] == REQUIRED
    assert here.post(lead, "/api/day/open").json()["code"] == "turn-out-of-order"


def test_a_worker_cannot_open_however_good_the_reason(here: WholeDay) -> None:
    answer = here.post(here.station("RM"), "/api/day/open", {"anyway": "it is seven"})
    assert answer.json()["code"] == "not-allowed"


def test_a_package_with_checks_of_its_own_shows_those_and_no_others(tmp_path: Path) -> None:
    with place(tmp_path, checklist=OWN) as here:
        lead = here.station("LO")
        checks = lead.get("/api/checklists/opening").json()
        assert [one["code"] for one in checks["items"]] == ["seals-read", "radio-tried"]
        assert (checks["shipped"], checks["missing"]) == (False, ["seals-read"])
        assert [one["about"] for one in checks["items"]] == ["seal", "other"]
        tick(here, lead, "seals-read")
        assert here.post(lead, "/api/day/open").status_code == 200


def test_a_zero_report_that_is_right_is_recorded_at_once(here: WholeDay, lead: TestClient) -> None:
    answer = here.read(lead, SERIALS[0], "opening", 0, 18_233, zero_report=here.zero_report(18_233))
    assert answer.status_code == 200
    assert (answer.json()["irregularity"], answer.json()["call"]) == (None, None)
    (first, second) = lead.get("/api/machines").json()["machines"]
    assert first["opening"]["zero_report"]["candidates_zero"] is True
    assert (first["doubts"], second["opening"]) == ([], None)


@pytest.mark.parametrize(
    ("public", "protective", "report", "codes"),
    [
        (3, 18_236, {}, ["public-not-zero", "protective-not-as-packaged"]),
        (0, 18_233, {"candidates_zero": False}, ["zero-report-wrong"]),
        (0, 18_233, {"precinct_right": False, "time_right": False}, ["zero-report-wrong"]),
        (0, 18_233, {"protective_on_screen": 18_234}, ["protective-not-on-screen"]),
        (0, 18_333, {"protective_on_screen": 18_333}, ["protective-not-as-packaged"]),
    ],
)
def test_a_zero_report_that_is_wrong_is_said_at_once_and_kept_only_with_a_reason(
    here: WholeDay,
    lead: TestClient,
    public: int,
    protective: int,
    report: dict[str, Any],
    codes: list[str],
) -> None:
    seen = {**here.zero_report(protective), **report}
    before = here.head(lead)
    refused = here.read(lead, SERIALS[0], "opening", public, protective, zero_report=seen)
    assert (refused.status_code, refused.json()["code"]) == (409, "reading-doubtful")
    assert [one["code"] for one in refused.json()["doubts"]] == codes
    assert all(one["sentence"] for one in refused.json()["doubts"])
    bare = here.read(lead, SERIALS[0], "opening", public, protective, zero_report=seen, anyway=True)
    assert bare.json()["code"] == "bad-request"
    assert here.head(lead) == before
    kept = here.read(
        lead,
        SERIALS[0],
        "opening",
        public,
        protective,
        zero_report=seen,
        anyway=True,
        reason="read twice, it stands so",
    ).json()
    assert kept["irregularity"]["kind"] == "irregularity.recorded"
    assert kept["call"]["phone"] == "555-0142"
    (one,) = lead.get("/api/irregularities").json()["irregularities"]
    assert (one["irregularity"], one["machine"], one["code"]) == ("machine", SERIALS[0], codes[0])


def test_a_seal_is_said_to_be_wrong_when_another_number_is_broken(
    here: WholeDay, lead: TestClient
) -> None:
    put = {"of": "machine", "where": SERIALS[0], "number": "A 0412", "act": "put_on"}
    assert here.post(lead, "/api/seals", put).status_code == 200
    broken = {**put, "act": "broken"}
    refused = here.post(lead, "/api/seals", {**broken, "number": "A0421"}).json()
    assert [one["code"] for one in refused["doubts"]] == ["seal-not-the-one"]
    assert refused["doubts"][0]["facts"]["expected"] == ["A 0412"]
    assert here.post(lead, "/api/seals", {**broken, "number": "a-0412"}).status_code == 200
    assert lead.get("/api/seals").json()["things"] == []


def test_a_seal_number_is_used_once_and_on_one_thing(here: WholeDay, lead: TestClient) -> None:
    put = {"of": "bag", "number": "B7", "act": "put_on", "agrees": True}
    here.post(lead, "/api/seals", put)
    for body, code in (
        (put, "seal-put-on-twice"),
        ({**put, "of": "keys"}, "seal-seen-elsewhere"),
        ({**put, "act": "read", "agrees": False}, "seal-not-on-sheet"),
    ):
        before = here.head(lead)
        answer = here.post(lead, "/api/seals", body).json()
        assert (answer["code"], [one["code"] for one in answer["doubts"]]) == (
            "seal-doubtful",
            [code],
        )
        assert here.head(lead) == before
    insisted = {**put, "of": "keys", "anyway": True, "reason": "both say B7, photographed"}
    kept = here.post(lead, "/api/seals", insisted).json()
    assert kept["irregularity"]["kind"] == "irregularity.recorded"
    assert here.post(lead, "/api/seals", {**put, "number": "  "}).json()["code"] == "bad-request"


def test_ballots_on_paper_are_counted_only_where_the_policy_counts_them(
    here: WholeDay, lead: TestClient, tmp_path_factory: pytest.TempPathFactory
) -> None:
    body = {"what": "received", "count": 800}
    assert here.post(lead, "/api/ballots-counted", body).json()["code"] == "not-provided-for"
    folder = tmp_path_factory.mktemp("paper")
    with place(folder, policy=Policy(counted_by="paper_ballots")) as other:
        mine = other.station("LO")
        first = other.post(mine, "/api/ballots-counted", body).json()
        again = other.post(mine, "/api/ballots-counted", {**body, "count": 850}).json()
        assert (again["code"], again["count"]) == ("counted-already", 800)
        bare = other.post(
            mine, "/api/ballots-counted", {**body, "count": 850, "replaces": first["seq"]}
        )
        assert bare.json()["code"] == "bad-request"
        right = {**body, "count": 850, "replaces": first["seq"], "reason": "a pack lay apart"}
        assert other.post(mine, "/api/ballots-counted", right).status_code == 200
        for count in (50, 25):
            other.post(mine, "/api/ballots-counted", {"what": "resupplied", "count": count})
        totals = mine.get("/api/ballots-counted").json()["totals"]
        assert (totals["received"], totals["resupplied"], totals["unused"]) == (850, 75, None)
        other.must_verify()


def test_a_machine_that_the_package_does_not_know_is_read_only_with_a_reason(
    here: WholeDay, lead: TestClient
) -> None:
    refused = here.read(lead, "TM-9999", "opening", 0, 500).json()
    assert [one["code"] for one in refused["doubts"]] == ["serial-unknown"]
    kept = here.read(
        lead, "TM-9999", "opening", 0, 500, anyway=True, reason="brought in for TM-0418"
    )
    assert kept.status_code == 200
    serials = [one["serial"] for one in lead.get("/api/machines").json()["machines"]]
    assert serials == [*SERIALS, "TM-9999"]
