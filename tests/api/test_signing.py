"""Signing over HTTP, as the table worker and the lead do it."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from app.records.store import verify_database
from app.rules.policy import Policy
from tests.api.conftest import Precinct
from tests.database_server import ON_BOTH

pytestmark = ON_BOTH

STROKES = [[[100, 100, 0], [400, 300, 16], [900, 120, 32]], [[1000, 1000, 80], [1200, 900, 96]]]


def test_a_plain_voter_signs_and_the_receipt_says_who_and_when(precinct: Precinct) -> None:
    table = precinct.station("RM")
    answer = precinct.sign(table, "plain")
    assert answer.status_code == 200
    receipt = answer.json()
    assert receipt["kind"] == "signature.recorded"
    assert (receipt["station"], receipt["initials"]) == ("Table 1", "RM")
    assert receipt["line_id"] == precinct.ids["plain"]
    sheet = precinct.sheet(table, "plain")
    assert sheet["state"]["standing"] == "signed"
    assert sheet["state"]["signature"]["seq"] == receipt["seq"]
    assert [entry["kind"] for entry in sheet["history"]] == ["signature.recorded"]


def test_nobody_signs_twice_and_the_second_is_told_when_and_where(precinct: Precinct) -> None:
    first, second = precinct.station("RM"), precinct.station("TB", "Table 2")
    precinct.sign(first, "plain")
    answer = precinct.sign(second, "plain")
    assert answer.status_code == 409
    problem = answer.json()
    assert problem["code"] == "already-signed"
    assert (problem["station"], problem["initials"]) == ("Table 1", "RM")
    assert problem["local_time"] in problem["detail"]
    options = [option["code"] for option in problem["verdict"]["options"]]
    assert options == ["ask-lead", "call-registrar", "provisional-ballot", "write-down-why"]


def test_a_drawn_signature_is_kept_beside_the_log_with_its_digest(precinct: Precinct) -> None:
    table = precinct.station("RM")
    answer = precinct.sign(table, "plain", how="drawn", strokes=STROKES)
    assert answer.status_code == 200
    entry = precinct.sheet(table, "plain")["history"][0]
    assert entry["body"]["how"] == "drawn"
    assert len(entry["body"]["strokes_sha256"]) == 64
    assert "strokes" not in entry["body"]
    assert verify_database(precinct.url).holds


@pytest.mark.parametrize(
    "body",
    [
        {"how": "drawn"},
        {"how": "drawn", "strokes": []},
        {"how": "drawn", "strokes": [[]]},
        {"how": "paper", "strokes": STROKES},
        {"how": "drawn", "strokes": [[[10001, 0, 0]]]},
        {"how": "drawn", "strokes": [[[-1, 0, 0]]]},
        {"how": "drawn", "strokes": [[[0, 0]]]},
        {"how": "drawn", "strokes": [[[0, 0, 0]] * 3001]},
        {"how": "thumb"},
        {"how": "paper", "evidence": {"identification": "maybe"}},
        {"how": "paper", "surprise": 1},
        {},
    ],
)
def test_a_signature_that_cannot_be_read_is_refused_and_nothing_is_recorded(
    precinct: Precinct, body: dict[str, object]
) -> None:
    table = precinct.station("RM")
    before = table.get("/api/day").json()["head"]
    path = f"/api/lines/{precinct.ids['plain']}/signature"
    answer = precinct.post(table, path, body or {"x": None})
    assert answer.status_code == 422
    assert answer.json()["code"] == "bad-request"
    assert answer.json()["faults"]
    assert table.get("/api/day").json()["head"] == before


@pytest.mark.parametrize(
    ("who", "code"),
    [("mail", "voted-by-mail"), ("early", "voted-early"), ("both", "lists-contradict")],
)
def test_a_marked_line_is_not_signed(precinct: Precinct, who: str, code: str) -> None:
    table = precinct.station("RM")
    answer = precinct.sign(table, who)
    assert answer.status_code == 409
    assert answer.json()["code"] == code
    assert precinct.sheet(table, who)["history"] == []


def test_the_card_comes_first_and_then_the_line_can_be_signed(precinct: Precinct) -> None:
    table = precinct.station("RM")
    refused = precinct.sign(table, "card").json()
    assert (refused["code"], refused["steps"]) == ("step-missing", ["address-confirmation"])
    card = f"/api/lines/{precinct.ids['card']}/address-confirmation"
    assert precinct.post(table, card).status_code == 200
    assert precinct.post(table, card).json()["code"] == "nothing-to-record"
    assert precinct.sign(table, "card").status_code == 200


def test_assistance_is_settled_by_a_helper_or_by_no_help_wanted(precinct: Precinct) -> None:
    table = precinct.station("RM")
    path = f"/api/lines/{precinct.ids['helper']}/assistance"
    assert precinct.sign(table, "helper").json()["steps"] == ["assistance"]
    nameless = precinct.post(table, path, {"wanted": True})
    assert nameless.status_code == 422
    assert nameless.json()["missing"] == ["helper_name", "how", "helper_is"]
    helper = {"helper_name": "Ottilie Crane", "how": "paper", "helper_is": "other"}
    helped = precinct.post(table, path, {"wanted": True, **helper})
    assert helped.status_code == 200
    assert precinct.sign(table, "helper").status_code == 200


def test_help_without_a_printed_y_needs_a_reason(precinct: Precinct) -> None:
    table = precinct.station("RM")
    path = f"/api/lines/{precinct.ids['plain']}/assistance"
    body = {"wanted": True, "helper_name": "Ottilie Crane", "how": "paper", "helper_is": "other"}
    assert precinct.post(table, path, body).json()["missing"] == ["reason"]
    with_reason = {**body, "reason": "cannot see to read"}
    assert precinct.post(table, path, with_reason).status_code == 200


def test_a_look_alike_signs_only_with_the_birth_date_of_the_line(precinct: Precinct) -> None:
    table = precinct.station("RM")
    assert precinct.sign(table, "junior").json()["steps"] == ["tell-apart"]
    fathers = precinct.sign(table, "junior", evidence={"birth_date": "1/2/1950"})
    assert fathers.json()["code"] == "not-this-line"
    unreadable = precinct.sign(table, "junior", evidence={"birth_date": "yesterday"})
    assert unreadable.status_code == 422
    assert unreadable.json()["code"] == "birth-date-unreadable"
    assert precinct.sheet(table, "junior")["state"]["standing"] == "open"
    assert precinct.sign(table, "junior", evidence={"birth_date": "6/30/81"}).status_code == 200
    assert precinct.sheet(table, "junior")["history"][0]["body"]["told_apart"] is True


def test_a_birth_date_said_once_does_not_open_the_line_to_the_next_person(
    precinct: Precinct,
) -> None:
    table = precinct.station("RM")
    path = f"/api/lines/{precinct.ids['junior']}/check"
    checked = precinct.post(table, path, {"evidence": {"birth_date": "6/30/1981"}})
    assert checked.json()["verdict"]["outcome"] == "sign"
    assert precinct.sheet(table, "junior")["verdict"]["outcome"] == "first"
    assert precinct.sign(table, "junior").json()["code"] == "step-missing"


def test_a_look_alike_is_shown_without_its_birth_date(precinct: Precinct) -> None:
    sheet = precinct.sheet(precinct.station("RM"), "junior")
    (father,) = sheet["look_alikes"]
    assert father["name"] == "Yarrow Sr, Simon"
    assert "birth_date" not in father


def test_the_same_key_again_gives_the_same_answer_and_one_entry(precinct: Precinct) -> None:
    table = precinct.station("RM")
    first = precinct.sign(table, "plain", token="the-page-sent-it-twice")
    again = precinct.sign(table, "plain", token="the-page-sent-it-twice")
    assert (again.status_code, again.json()) == (200, first.json())
    assert len(precinct.sheet(table, "plain")["history"]) == 1


def test_a_key_used_for_something_else_is_refused(precinct: Precinct) -> None:
    table = precinct.station("RM")
    precinct.sign(table, "plain", token="the-page-sent-it-twice")
    answer = precinct.sign(table, "second ballot", token="the-page-sent-it-twice")
    assert (answer.status_code, answer.json()["code"]) == (422, "token-reused")
    assert precinct.sheet(table, "second ballot")["state"]["standing"] == "open"


def test_the_lead_withdraws_a_signature_with_a_reason_and_the_line_can_be_signed_again(
    precinct: Precinct,
) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    path = f"/api/lines/{precinct.ids['plain']}/signature/withdraw"
    assert precinct.post(lead, path, {"reason": "none yet"}).json()["code"] == "nothing-to-withdraw"
    precinct.sign(table, "plain")
    assert precinct.post(table, path, {"reason": "mine"}).json()["code"] == "not-allowed"
    assert precinct.post(lead, path, {"reason": "  "}).status_code == 422
    withdrawn = precinct.post(lead, path, {"reason": "signed on the wrong line"}, "w" * 20)
    assert withdrawn.status_code == 200
    again = precinct.post(lead, path, {"reason": "signed on the wrong line"}, "w" * 20)
    assert again.json() == withdrawn.json()
    assert precinct.sheet(table, "plain")["verdict"]["outcome"] == "sign"
    assert precinct.sign(table, "plain").status_code == 200
    kinds = [entry["kind"] for entry in precinct.sheet(table, "plain")["history"]]
    assert kinds == ["signature.recorded", "signature.withdrawn", "signature.recorded"]
    assert verify_database(precinct.url).holds


def test_before_opening_nobody_signs(before_opening: Precinct) -> None:
    answer = before_opening.sign(before_opening.station("RM"), "plain")
    assert (answer.status_code, answer.json()["code"]) == (409, "polls-not-open")


def test_after_the_cut_off_only_who_was_in_line_signs_and_after_closing_nobody(
    precinct: Precinct,
) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    assert precinct.post(lead, "/api/day/close").json()["code"] == "turn-out-of-order"
    assert precinct.post(lead, "/api/day/cut-off").status_code == 200
    assert precinct.sign(table, "plain").json()["steps"] == ["in-line-at-cut-off"]
    late = precinct.sign(table, "plain", evidence={"in_line_at_cut_off": False})
    assert late.json()["code"] == "line-cut-off"
    in_line = precinct.sign(table, "plain", evidence={"in_line_at_cut_off": True})
    assert in_line.status_code == 200
    assert precinct.post(lead, "/api/day/close").status_code == 200
    after = precinct.sign(table, "second ballot", evidence={"in_line_at_cut_off": True})
    assert after.json()["code"] == "polls-closed"


class TestWhereIdentificationIsRequired:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(identification="required")

    def test_a_voter_without_it_may_affirm(self, precinct: Precinct) -> None:
        table = precinct.station("RM")
        assert precinct.sign(table, "plain").json()["steps"] == ["identification"]
        without = precinct.sign(table, "plain", evidence={"identification": "not_shown"})
        assert without.json()["code"] == "identification-missing"
        options = [option["code"] for option in without.json()["verdict"]["options"]]
        assert "affirm-identity" in options
        affirmed = precinct.sign(table, "plain", evidence={"identification": "affirmed"})
        assert affirmed.status_code == 200


def test_sixteen_stations_at_once_get_one_signature_a_line(precinct: Precinct) -> None:
    stations = [precinct.station("RM", f"Table {number}") for number in range(1, 17)]
    spares = [name for name in precinct.ids if name.startswith("spare")]
    with ThreadPoolExecutor(16) as pool:
        answers = list(
            pool.map(
                lambda job: (job[1], precinct.sign(job[0], job[1])),
                [(station, name) for name in spares for station in stations],
            )
        )
    won = Counter(name for name, answer in answers if answer.status_code == 200)
    assert won == dict.fromkeys(spares, 1)
    lost = [answer.json() for _, answer in answers if answer.status_code != 200]
    assert len(lost) == 15 * len(spares)
    assert all(
        problem["code"] == "already-signed" and problem["station"] and problem["local_time"]
        for problem in lost
    )
    assert verify_database(precinct.url).holds
