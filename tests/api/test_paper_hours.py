"""The laptop is gone from 14:10 to 15:05; what was signed on paper meanwhile is keyed later."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from app.desk.going_to_paper import open_paper_hours
from app.records.store import verify_database
from tests.api.conftest import At, Precinct
from tests.api.listing import bring_and_apply, outcome, row_of
from tests.api.test_turnout import signed

HOUR = {"reason": "the laptop had to be restarted", "from": "14:10", "until": "15:05"}


@pytest.fixture
def lead(clock: At, before_opening: Precinct) -> TestClient:
    lead = before_opening.station("LO", "Lead's desk")
    clock.local = "07:00"
    before_opening.post(lead, "/api/day/open")
    return lead


@pytest.fixture
def here(before_opening: Precinct) -> Precinct:
    return before_opening


@pytest.fixture
def table(lead: TestClient, here: Precinct, clock: At) -> TestClient:
    """A table at 15:10, after an hour on paper."""
    clock.local = "15:10"
    answer = here.post(lead, "/api/paper/begin", HOUR)
    assert answer.status_code == 200, answer.text
    return here.station("RM")


def key(here: Precinct, table: TestClient, who: str, time: str = "14:20", **more: Any) -> Any:
    token = more.pop("token", None)
    order = more.pop("order", len(paper(table)["open"]["rows"]) + 1)
    body = {"line_id": here.ids[who], "time": time, "page": 3, "order": order, **more}
    return here.post(table, "/api/paper/caught-up", body, token)


def paper(client: TestClient) -> Any:
    return client.get("/api/paper").json()


def log(client: TestClient) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = client.get("/api/log?limit=1000").json()["entries"]
    return found


def head(client: TestClient) -> int:
    return int(client.get("/api/day").json()["head"]["seq"])


def irregularities(lead: TestClient) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = lead.get("/api/irregularities").json()["irregularities"]
    return found


def needs(lead: TestClient) -> list[dict[str, Any]]:
    items = lead.get("/api/attention").json()["items"]
    return [one for one in items if one["kind"] == "paper-hours-open"]


def holds(here: Precinct) -> bool:
    found = verify_database(here.url)
    assert found.holds, found.fault
    return True


def test_what_was_signed_on_paper_stands_on_its_lines_and_the_counts_agree(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    token = here.token()
    first = key(here, table, "plain", order=1, token=token)
    assert first.status_code == 200, first.text
    assert key(here, table, "plain", order=1, token=token).json() == first.json()
    body = first.json()
    assert (body["kind"], body["initials"], body["row"]["effect"]) == (
        "paper.row_keyed",
        "RM",
        "signed",
    )
    assert (body["row"]["time"], body["verdict"]["reasons"][0]["code"]) == (
        "14:20",
        "already-signed",
    )
    blank = key(here, table, "second ballot", time="").json()
    assert blank["tally"]["signed"] == 2
    assert needs(lead)[0]["facts"] == {"from": "14:10", "rows": 2, "waiting": 0, "initials": "LO"}
    signature = log(lead)[-3]["body"]["caught_up"]
    assert signature == {"at": "14:20", "order": 1, "page": 3, "row_seq": body["seq"]}
    wrong = here.post(table, "/api/paper/finish", {"counted": 3}).json()
    assert (wrong["code"], wrong["rows"]) == ("paper-does-not-agree", 2)
    token = here.token()
    done = here.post(table, "/api/paper/finish", {"counted": 2}, token).json()
    assert here.post(table, "/api/paper/finish", {"counted": 2}, token).json() == done
    assert (done["hour"]["finished"]["lines"], done["hour"]["by"]) == (
        2,
        [{"initials": "RM", "rows": 2}],
    )
    assert (needs(lead), paper(table)["open"]) == ([], None)
    assert holds(here)


def test_turnout_counts_them_in_the_hour_that_is_written_on_the_paper(
    here: Precinct, lead: TestClient, table: TestClient, clock: At
) -> None:
    key(here, table, "plain", "14:20")
    key(here, table, "second ballot", "")
    key(here, table, "spare 0", "14:59")
    assert signed(lead) == {"14:00": 2, "15:00": 1}
    clock.local = "16:30"
    path = f"/api/lines/{here.ids['plain']}/signature/move"
    body = {"to_line_id": here.ids["spare 1"], "reason": "a namesake"}
    assert here.post(lead, path, body).status_code == 200
    assert signed(lead) == {"14:00": 2, "15:00": 1}
    here.post(table, "/api/paper/rows/1/undo", {"reason": "not on this page"})
    assert outcome(here, table, "spare 1") == "sign"
    assert signed(lead) == {"14:00": 1, "15:00": 1}
    assert holds(here)


def test_a_line_signed_meanwhile_gets_no_second_signature_and_calls_the_registrar(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    here.sign(table, "plain")
    body = key(here, table, "plain").json()
    assert (body["row"]["effect"], body["verdict"]["outcome"]) == ("duplicate", "call")
    assert body["row"]["contradiction"]["code"] == "paper-and-signed"
    assert body["row"]["contradiction"]["on_paper"]["time"] == "14:20"
    assert body["call"]["phone"] == "555-0142"
    (one,) = irregularities(lead)
    assert (one["code"], one["irregularity"]) == ("paper-and-signed", "contradiction")
    assert [entry["kind"] for entry in log(lead)].count("signature.recorded") == 1
    items = lead.get("/api/attention").json()["items"]
    (attention,) = [item for item in items if item["line_id"] == here.ids["plain"]]
    assert attention["kind"] == "line-contradicts"
    assert outcome(here, table, "plain") == "call"
    undone = here.post(table, "/api/paper/rows/1/undo", {"reason": "the same voter"}).json()
    assert (undone["tally"]["undone"], undone["verdict"]["outcome"]) == (1, "stop")
    assert holds(here)


def test_a_list_that_named_the_voter_stands_beside_the_signature_on_paper(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    bring_and_apply(here, lead, row_of("plain"), name="mail-1400.csv")
    body = key(here, table, "plain").json()
    assert (body["row"]["effect"], body["verdict"]["outcome"]) == ("signed", "call")
    found = body["row"]["contradiction"]
    assert (found["code"], found["on_line"]["source"]) == ("paper-and-marked", "mail-1400.csv")
    assert (found["on_paper"]["time"], found["on_paper"]["page"]) == ("14:20", 3)
    printed = key(here, table, "both").json()
    assert printed["row"]["contradiction"]["code"] == "paper-and-marked"
    assert len(irregularities(lead)) == 2
    assert holds(here)


def test_what_the_paper_shows_is_recorded_as_done_on_paper(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    before = head(lead)
    refused = key(here, table, "card").json()
    assert (refused["code"], refused["steps"]) == ("step-missing", ["address-confirmation"])
    assert head(lead) == before
    card = key(here, table, "card", card_done=True).json()
    helper = {"wanted": True, "helper_name": "Ada Larkspur", "helper_is": "other"}
    helped = key(here, table, "helper", helper=helper).json()
    senior = key(here, table, "senior", told_apart=True).json()
    kinds = {entry["kind"]: entry["body"] for entry in log(lead)}
    assert kinds["address.confirmed"]["row_seq"] == card["seq"]
    assert kinds["assistance.recorded"]["row_seq"] == helped["seq"]
    assert kinds["assistance.recorded"]["how"] == "paper"
    assert kinds["signature.recorded"]["told_apart"] is True
    assert senior["irregularities"] == []
    assert holds(here)


def test_a_step_that_the_paper_does_not_show_is_written_up_and_the_signature_kept(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    token, why = here.token(), "the card is not among the papers"
    body = key(here, table, "card", order=1, anyway=why, token=token).json()
    assert body["row"]["effect"] == "signed"
    (one,) = irregularities(lead)
    assert (one["code"], one["what"]) == ("steps-not-on-paper", why)
    assert one["line_id"] == here.ids["card"]
    other = key(here, table, "card", order=1, anyway="another reason", token=token)
    assert other.json()["code"] == "token-reused"
    wrong = key(here, table, "junior", told_apart=False, anyway="whatever").json()
    assert wrong["code"] == "not-this-line"
    assert holds(here)


def test_the_place_in_line_is_asked_of_who_signed_after_the_cut_off_alone(
    here: Precinct, lead: TestClient, clock: At
) -> None:
    clock.local = "20:00"
    here.post(lead, "/api/day/cut-off")
    clock.local = "20:30"
    table = here.station("RM")
    here.post(lead, "/api/paper/begin", {"reason": "power cut", "from": "19:40"})
    assert key(here, table, "plain", "20:00").json()["row"]["effect"] == "signed"
    for time in ("20:10", ""):
        asked = key(here, table, "second ballot", time).json()
        assert (asked["code"], asked["steps"]) == ("step-missing", ["in-line-at-cut-off"])
    late = key(here, table, "second ballot", "20:10", in_line_at_cut_off=False).json()
    assert late["code"] == "line-cut-off"
    kept = key(here, table, "second ballot", "20:10", in_line_at_cut_off=True).json()
    assert kept["row"]["effect"] == "signed"
    assert holds(here)


def test_somebody_on_no_line_waits_for_the_lead(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    body = {"name": "Ambrose Nettlefold", "time": "14:40", "page": 9, "order": 1}
    token = here.token()
    first = here.post(table, "/api/paper/caught-up", body, token).json()
    assert here.post(table, "/api/paper/caught-up", body, token).json() == first
    other = here.post(table, "/api/paper/caught-up", {**body, "name": "Another"}, token).json()
    assert other["code"] == "token-reused"
    assert (first["row"]["effect"], first["row"]["name"]) == ("waits", "Ambrose Nettlefold")
    assert "Nettlefold" not in str(log(lead))
    assert needs(lead)[0]["facts"]["waiting"] == 1
    waits = here.post(table, "/api/paper/finish", {"counted": 1}).json()
    assert (waits["code"], waits["waiting"]) == ("paper-does-not-agree", [1])
    reason = {"counted": 1, "reason": "an envelope was given, see the list"}
    assert here.post(table, "/api/paper/finish", reason).json()["code"] == "not-allowed"
    assert here.post(lead, "/api/paper/finish", reason).status_code == 200
    assert holds(here)


def test_a_row_keyed_twice_is_told_with_who_keyed_it_and_counted_once(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    key(here, table, "plain")
    other = here.station("TB", "Table 2")
    again = key(here, other, "plain").json()
    assert (again["code"], again["initials"], again["row_number"]) == ("keyed-already", "RM", 1)
    assert again["local_time"] == "15:10"
    assert paper(lead)["open"]["tally"]["keyed"] == 1
    twice = key(here, other, "plain", twice=True).json()
    assert twice["row"]["effect"] == "duplicate"
    assert paper(lead)["open"]["duplicates"] == [2]
    assert [entry["kind"] for entry in log(lead)].count("signature.recorded") == 1
    assert holds(here)


def test_look_alikes_at_one_time_or_one_place_are_flagged(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    key(here, table, "senior", "14:20", told_apart=True, order=4)
    key(here, table, "plain", "14:20", order=5)
    body = key(here, table, "junior", "14:20", told_apart=True, order=5).json()
    codes = [(flag["code"], flag["facts"]["row_number"]) for flag in body["flags"]]
    assert codes == [("alike-keyed", 1), ("place-keyed", 2)]
    assert body["flags"][0]["facts"]["same"] == "time"
    late = key(here, table, "spare 0", "09:00", order=9).json()
    assert [flag["code"] for flag in late["flags"]] == ["outside-paper-hours"]
    assert all(flag["sentence"] for flag in (*body["flags"], *late["flags"]))
    assert holds(here)


def test_a_row_keyed_by_mistake_is_taken_back_with_its_signature(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    key(here, table, "plain")
    token = here.token()
    path, why = "/api/paper/rows/1/undo", {"reason": "a namesake"}
    first = here.post(table, path, why, token).json()
    assert here.post(table, path, why, token).json() == first
    assert first["row"]["undone"]["reason"] == "a namesake"
    assert (first["tally"]["keyed"], first["tally"]["standing"]) == (1, 0)
    assert outcome(here, table, "plain") == "sign"
    assert here.post(table, path, why).json()["code"] == "nothing-to-withdraw"
    other = here.post(table, path, {"reason": "another"}, token).json()
    assert other["code"] == "token-reused"
    assert here.post(table, "/api/paper/rows/2/undo", why).status_code == 404
    assert key(here, table, "plain").json()["row"]["effect"] == "signed"
    assert holds(here)


@pytest.mark.parametrize(
    ("time", "why"), [("15:11", "future"), ("06:59", "before-opening"), ("23:59", "future")]
)
def test_a_time_at_which_nobody_can_have_signed_is_refused_and_leaves_no_trace(
    here: Precinct, lead: TestClient, table: TestClient, time: str, why: str
) -> None:
    before = head(lead)
    refused = key(here, table, "plain", time).json()
    assert (refused["code"], refused["why"]) == ("paper-time-wrong", why)
    assert (refused["earliest"], refused["latest"]) == ("07:00", "15:10")
    nobody = {"name": "Ambrose", "time": time, "page": 1, "order": 1}
    assert here.post(table, "/api/paper/caught-up", nobody).json()["code"] == "paper-time-wrong"
    assert head(lead) == before


def test_after_the_close_what_was_signed_before_it_is_still_keyed(
    here: Precinct, lead: TestClient, table: TestClient, clock: At
) -> None:
    clock.local = "20:00"
    here.post(lead, "/api/day/cut-off")
    clock.local = "20:05"
    closed = here.post(lead, "/api/day/close", {"reason": "a page is missing"})
    assert closed.status_code == 200, closed.text
    clock.local = "20:30"
    refused = key(here, table, "plain", "20:06").json()
    assert (refused["code"], refused["why"]) == ("paper-time-wrong", "after-closing")
    assert key(here, table, "plain", "14:20").json()["row"]["effect"] == "signed"
    assert holds(here)


@pytest.mark.parametrize(
    "wrong",
    [
        {"order": -1},
        {"order": 0},
        {"page": 0},
        {"time": "24:00"},
        {"time": "2:20"},
        {"time": None},
        {"name": "Ambrose"},
        {"helper": {"wanted": True}},
        {"helper": {"wanted": True, "helper_is": "employer_or_union"}},
        {"strokes": []},
        {"line_id": None},
    ],
)
def test_a_row_that_cannot_be_read_is_refused_and_leaves_no_trace(
    here: Precinct, lead: TestClient, table: TestClient, wrong: dict[str, Any]
) -> None:
    before = head(lead)
    body = {"line_id": here.ids["helper"], "time": "14:20", "page": 3, "order": 1, **wrong}
    answer = here.post(table, "/api/paper/caught-up", body)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    assert head(lead) == before


def test_an_unknown_line_is_not_found_and_a_key_serves_one_row(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    unknown = {"line_id": "nobody", "page": 1, "order": 1}
    assert here.post(table, "/api/paper/caught-up", unknown).status_code == 404
    token = here.token()
    assert key(here, table, "plain", order=1, token=token).status_code == 200
    for other in ({"time": "14:21"}, {"order": 2}, {"told_apart": True}):
        again = key(here, table, "plain", token=token, **{"order": 1, **other})
        assert again.json()["code"] == "token-reused"
    assert key(here, table, "spare 0", order=1, token=token).json()["code"] == "token-reused"
    nobody = {"name": "Ambrose", "time": "14:20", "page": 3, "order": 1}
    reused = here.post(table, "/api/paper/caught-up", nobody, token).json()
    assert reused["code"] == "token-reused"


def test_nothing_is_keyed_while_the_table_is_not_on_paper(
    here: Precinct, lead: TestClient, clock: At
) -> None:
    body = {"line_id": here.ids["plain"], "page": 1, "order": 1}
    assert here.post(lead, "/api/paper/caught-up", body).json()["code"] == "no-paper-hour"
    finish = here.post(lead, "/api/paper/finish", {"counted": 0}).json()
    assert finish["code"] == "no-paper-hour"
    undo = here.post(lead, "/api/paper/rows/1/undo", {"reason": "x"}).json()
    assert undo["code"] == "no-paper-hour"


@pytest.mark.parametrize(
    ("hours", "why"),
    [
        ({"from": "15:11"}, "future"),
        ({"from": "14:10", "until": "15:11"}, "future"),
        ({"from": "14:10", "until": "14:09"}, "turned-round"),
    ],
)
def test_hours_that_cannot_be_are_refused(
    here: Precinct, lead: TestClient, clock: At, hours: dict[str, str], why: str
) -> None:
    clock.local = "15:10"
    refused = here.post(lead, "/api/paper/begin", {"reason": "power cut", **hours}).json()
    assert (refused["code"], refused["why"]) == ("paper-time-wrong", why)
    assert paper(lead)["hours"] == []


def test_only_the_lead_goes_to_paper_and_one_hour_at_a_time(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    assert here.post(table, "/api/paper/begin", HOUR).json()["code"] == "not-allowed"
    again = here.post(lead, "/api/paper/begin", HOUR).json()
    assert (again["code"], again["from"]) == ("paper-begun-already", "14:10")
    assert here.post(lead, "/api/paper/begin", {"reason": ""}).json()["code"] == "bad-request"
    assert len(here.app.state.roster.store.read(open_paper_hours)) == 1
    here.post(table, "/api/paper/finish", {"counted": 0})
    assert here.app.state.roster.store.read(open_paper_hours) == []
    now = here.post(lead, "/api/paper/begin", {"reason": "again"}).json()
    assert (now["hour"]["from"], now["hour"]["until"]) == ("15:10", "")


def test_the_hour_names_what_the_printed_register_shows(
    here: Precinct, lead: TestClient, clock: At
) -> None:
    shown = head(lead)
    body = {"reason": "reboot", "head_seq": shown}
    token = here.token()
    begun = here.post(lead, "/api/paper/begin", body, token).json()
    assert here.post(lead, "/api/paper/begin", body, token).json() == begun
    assert begun["hour"]["head_hash"] == log(lead)[shown - 1]["hash"]
    assert holds(here)


def test_a_recovered_laptop_that_lost_what_the_paper_shows_says_so(
    here: Precinct, lead: TestClient, clock: At
) -> None:
    body = {"reason": "another laptop", "head_seq": 9_000}
    refused = here.post(lead, "/api/paper/begin", body).json()
    assert (refused["code"], refused["head_seq"]) == ("paper-newer", 9_000)
    begun = here.post(lead, "/api/paper/begin", {**body, "anyway": True}).json()
    assert begun["hour"]["head_hash"] is None
    (one,) = irregularities(lead)
    assert (one["code"], one["seq"]) == ("paper-newer", begun["irregularity"]["seq"])
    assert holds(here)


def test_before_the_polls_are_opened_in_the_record_no_signature_is_keyed(
    here: Precinct, clock: At
) -> None:
    clock.local = "07:20"
    lead = here.station("LO", "Lead's desk")
    here.post(lead, "/api/paper/begin", {"reason": "no power since six", "from": "06:30"})
    body = {"line_id": here.ids["plain"], "time": "07:05", "page": 1, "order": 1, "anyway": "so"}
    refused = here.post(lead, "/api/paper/caught-up", body).json()
    assert refused["code"] == "polls-not-open"
    here.post(lead, "/api/day/open")
    assert here.post(lead, "/api/paper/caught-up", body).json()["row"]["effect"] == "signed"
    assert irregularities(lead) == []
    assert holds(here)


def test_the_day_does_not_balance_while_an_hour_is_not_caught_up(
    here: Precinct, lead: TestClient, table: TestClient, clock: At
) -> None:
    found = lead.get("/api/reconciliation").json()
    assert (found["missing"], found["balances"]) == ([{"what": "paper", "name": "14:10"}], False)
    clock.local = "20:00"
    here.post(lead, "/api/day/cut-off")
    refused = here.post(lead, "/api/day/close").json()
    assert (refused["code"], refused["missing"]) == ("does-not-balance", found["missing"])
    here.post(table, "/api/paper/finish", {"counted": 0})
    assert lead.get("/api/reconciliation").json()["balances"] is True
    assert here.post(lead, "/api/day/close").status_code == 200
    assert holds(here)


def test_two_signatures_of_one_order_on_two_pages_are_no_double_entry(
    here: Precinct, lead: TestClient, table: TestClient
) -> None:
    key(here, table, "plain", order=1, page=3)
    body = key(here, table, "second ballot", order=1, page=4).json()
    assert body["flags"] == []
    assert here.post(table, "/api/paper/finish", {"counted": 2}).status_code == 200
    causes = lead.get("/api/reconciliation").json()["causes"]
    assert "keyed-twice" not in [cause["code"] for cause in causes]


NETTLEFOLD = {"name": "Ambrose Nettlefold", "time": "14:40", "page": 9, "order": 1}


@pytest.fixture
def waiting(here: Precinct, table: TestClient) -> str:
    """Row 1 is of somebody on no line; the path that settles it."""
    here.post(table, "/api/paper/caught-up", NETTLEFOLD)
    return "/api/paper/rows/1/settle"


def test_a_row_that_waits_becomes_a_signature_on_the_line_that_the_lead_names(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str
) -> None:
    body = {"line_id": here.ids["plain"]}
    assert here.post(table, waiting, body).json()["code"] == "not-allowed"
    token = here.token()
    settled = here.post(lead, waiting, body, token)
    assert settled.status_code == 200, settled.text
    assert here.post(lead, waiting, body, token).json() == settled.json()
    row = settled.json()["row"]
    assert (row["effect"], row["time"], row["page"]) == ("signed", "14:40", 9)
    assert (row["settled"]["initials"], row["initials"]) == ("LO", "RM")
    assert settled.json()["tally"]["waiting"] == 0
    (signature,) = [one for one in log(lead) if one["kind"] == "signature.recorded"]
    assert signature["body"]["caught_up"]["at"] == "14:40"
    assert outcome(here, table, "plain") == "stop"
    assert signed(lead) == {"14:00": 1}
    assert key(here, table, "plain").json()["row_number"] == 1
    assert here.post(lead, waiting, body).json()["code"] == "nothing-to-settle"
    assert needs(lead)[0]["facts"]["waiting"] == 0
    assert here.post(table, "/api/paper/finish", {"counted": 1}).status_code == 200
    assert holds(here)


def test_a_settled_row_is_taken_back_with_its_signature(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str
) -> None:
    here.post(lead, waiting, {"line_id": here.ids["plain"]})
    why = {"reason": "the wrong line"}
    undone = here.post(table, "/api/paper/rows/1/undo", why).json()
    assert (undone["row"]["effect"], undone["tally"]["undone"]) == ("signed", 1)
    assert outcome(here, table, "plain") == "sign"
    assert here.post(lead, waiting, {"line_id": here.ids["plain"]}).json()["code"] == (
        "nothing-to-settle"
    )
    assert key(here, table, "plain").json()["row"]["effect"] == "signed"
    assert holds(here)


def test_a_row_is_settled_on_a_line_with_every_check_of_a_keyed_row(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str
) -> None:
    before = head(lead)
    asked = here.post(lead, waiting, {"line_id": here.ids["card"]}).json()
    assert (asked["code"], asked["steps"]) == ("step-missing", ["address-confirmation"])
    assert here.post(lead, waiting, {"line_id": "nobody"}).status_code == 404
    apart = {"line_id": here.ids["junior"], "told_apart": False, "anyway": "whatever"}
    assert here.post(lead, waiting, apart).json()["code"] == "not-this-line"
    assert head(lead) == before
    here.sign(table, "plain")
    double = here.post(lead, waiting, {"line_id": here.ids["plain"]}).json()
    assert (double["row"]["effect"], double["verdict"]["outcome"]) == ("duplicate", "call")
    found = double["row"]["contradiction"]
    assert (found["code"], found["on_paper"]["page"]) == ("paper-and-signed", 9)
    assert double["call"]["phone"] == "555-0142"
    here.post(table, "/api/paper/rows/1/undo", {"reason": "the wrong line"})
    assert outcome(here, table, "plain") == "stop"
    assert holds(here)


def test_a_step_lacking_on_a_settled_row_is_written_up_with_the_reason(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str
) -> None:
    token, why = here.token(), "the card is not among the papers"
    body = {"line_id": here.ids["card"], "anyway": why}
    assert here.post(lead, waiting, body, token).json()["row"]["effect"] == "signed"
    other = here.post(lead, waiting, {**body, "anyway": "another"}, token).json()
    assert other["code"] == "token-reused"
    (one,) = irregularities(lead)
    assert (one["code"], one["what"]) == ("steps-not-on-paper", why)
    assert holds(here)


def test_a_row_may_stay_without_a_line_and_counts_with_the_reason_written_up(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str
) -> None:
    token, why = here.token(), {"reason": "signed in the wrong precinct, sent on to 4-08"}
    settled = here.post(lead, waiting, why, token).json()
    assert here.post(lead, waiting, why, token).json() == settled
    assert (settled["row"]["effect"], settled["row"]["name"]) == ("no_line", "Ambrose Nettlefold")
    assert settled["row"]["settled"]["reason"] == why["reason"]
    tally = settled["tally"]
    assert (tally["waiting"], tally["no_line"], tally["standing"]) == (0, 1, 1)
    (one,) = irregularities(lead)
    assert (one["code"], one["what"]) == ("paper-on-no-line", why["reason"])
    other = here.post(lead, waiting, {"reason": "another"}, token).json()
    assert other["code"] == "token-reused"
    assert here.post(table, "/api/paper/finish", {"counted": 1}).status_code == 200
    assert holds(here)


@pytest.mark.parametrize("wrong", [{}, {"line_id": "x", "reason": "y"}, {"reason": " "}])
def test_a_row_is_settled_one_way_or_the_other(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str, wrong: dict[str, str]
) -> None:
    before = head(lead)
    assert here.post(lead, waiting, wrong).status_code == 422
    assert here.post(lead, "/api/paper/rows/2/settle", {"reason": "x"}).status_code == 404
    assert head(lead) == before


def test_an_hour_finished_with_a_reason_asks_for_none_at_the_close(
    here: Precinct, lead: TestClient, table: TestClient, waiting: str, clock: At
) -> None:
    assert lead.get("/api/reconciliation").json()["balances"] is False
    here.post(lead, "/api/paper/finish", {"counted": 2, "reason": "a page is torn"})
    assert lead.get("/api/reconciliation").json()["balances"] is True
    clock.local = "20:00"
    here.post(lead, "/api/day/cut-off")
    assert here.post(lead, "/api/day/close").status_code == 200
    assert holds(here)
