"""Turnout as the lead reads it, and the count on the door."""

from __future__ import annotations

import datetime
import io
import json
from typing import Any

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from app.desk.turnout import read_turnout
from tests.api.conftest import PEOPLE, At, Precinct
from tests.api.listing import bring_and_apply, row_of
from tests.api.test_bad_twins import AFFIDAVIT
from tests.api.test_phone_ins import call
from tests.api.test_slips import ENVELOPE


@pytest.fixture
def lead(clock: At, before_opening: Precinct) -> TestClient:
    lead = before_opening.station("LO", "Lead's desk")
    clock.local = "07:00"
    before_opening.post(lead, "/api/day/open")
    return lead


def turnout(lead: TestClient) -> dict[str, Any]:
    answer = lead.get("/api/turnout")
    assert answer.status_code == 200, answer.text
    body: dict[str, Any] = answer.json()
    return body


def signed(lead: TestClient) -> dict[str, int]:
    return {h["local_from"]: h["signed"] for h in turnout(lead)["hours"] if h["signed"]}


def test_signatures_are_counted_in_the_hour_of_the_polling_place(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    for local, who in (("07:59", "spare 0"), ("08:00", "spare 1"), ("14:05", "spare 2")):
        clock.local = local
        assert before_opening.sign(lead, who).status_code == 200
    body = turnout(lead)
    assert signed(lead) == {"07:00": 1, "08:00": 1, "14:00": 1}
    assert (body["date"], body["local_time"]) == ("2027-03-02", "14:05")
    first, last = body["hours"][0], body["hours"][-1]
    assert (first["from"], first["local_to"]) == ("2027-03-02T12:00:00.000Z", "08:00")
    assert (last["local_to"], last["signed_so_far"]) == ("20:00", 3)
    assert body["total"] == {"signed": 3, "ordinary": 3, "affidavit": 0, "provisional": 0}
    assert body["outside"]["signed"] == 0


def test_a_withdrawn_signature_does_not_count_and_a_moved_one_counts_when_it_was_given(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    def post(who: str, what: str, **body: Any) -> None:
        path = f"/api/lines/{before_opening.ids[who]}/signature/{what}"
        answer = before_opening.post(lead, path, body)
        assert answer.status_code == 200, answer.text

    clock.local = "08:10"
    for who in ("spare 0", "spare 1", "spare 2"):
        before_opening.sign(lead, who)
    clock.local = "10:30"
    post("spare 0", "withdraw", reason="Wrong person.")
    post("spare 1", "move", reason="Wrong line.", to_line_id=before_opening.ids["spare 3"])
    assert signed(lead) == {"08:00": 2}
    clock.local = "11:30"
    post("spare 3", "move", reason="Wrong again.", to_line_id=before_opening.ids["spare 4"])
    assert signed(lead) == {"08:00": 2}
    before_opening.sign(lead, "spare 0")
    assert signed(lead) == {"08:00": 2, "11:00": 1}
    clock.local = "12:30"
    post("spare 4", "withdraw", reason="It was somebody else.")
    assert signed(lead) == {"08:00": 1, "11:00": 1}


def test_affidavits_and_envelopes_are_counted_apart(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    clock.local = "09:15"
    before_opening.sign(lead, "plain")
    added = before_opening.post(lead, "/api/correction-affidavits", AFFIDAVIT)
    assert added.status_code == 200, added.text
    given = before_opening.post(lead, "/api/provisional-ballots", ENVELOPE)
    mistake = before_opening.post(
        lead, "/api/provisional-ballots", {**ENVELOPE, "envelope": "P-0002", "name": "Ida Brandt"}
    )
    assert (given.status_code, mistake.status_code) == (200, 200)
    seq = mistake.json()["seq"]
    before_opening.post(lead, f"/api/provisional-ballots/{seq}/withdraw", {"reason": "A slip."})
    body = turnout(lead)
    expected = {"signed": 2, "ordinary": 1, "affidavit": 1, "provisional": 1}
    assert body["total"] == expected
    hour = next(hour for hour in body["hours"] if hour["local_from"] == "09:00")
    assert {name: hour[name] for name in expected} == expected
    assert hour["provisional_so_far"] == 1
    assert body["lines"] == len(PEOPLE) + 1


def test_marks_are_counted_by_source_as_they_stand(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    def marks() -> dict[tuple[str, str], int]:
        return {(m["mark"], m["source"]): m["count"] for m in turnout(lead)["marks"]}

    printed = {
        ("voted_by_mail", "mail-voted.csv"): 2,
        ("voted_early", "register.csv"): 2,
    }
    assert marks() == printed
    bring_and_apply(before_opening, lead, row_of("plain"), row_of("card"))
    by_list = {**printed, ("voted_by_mail", "mail-1400.csv"): 2}
    assert marks() == by_list
    call(before_opening, lead, "mail", "withdraw_mark", "voted_by_mail")
    call(before_opening, lead, "card", "withdraw_mark", "voted_by_mail")
    assert marks() == {
        **printed,
        ("voted_by_mail", "mail-voted.csv"): 1,
        ("voted_by_mail", "mail-1400.csv"): 1,
    }


def test_the_share_is_of_the_lines_that_are_not_removed(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    before_opening.sign(lead, "plain")
    call(before_opening, lead, "spare 0", "remove")
    body = turnout(lead)
    assert (body["removed"], body["eligible"]) == (1, len(PEOPLE) - 1)
    assert body["marked"] == 3
    assert body["share"] == pytest.approx(4 / (len(PEOPLE) - 1))
    assert body["share_signed"] == pytest.approx(1 / (len(PEOPLE) - 1))


def test_the_total_is_the_number_of_lines_that_carry_a_signature(
    before_opening: Precinct, lead: TestClient, clock: At
) -> None:
    """Compared with the sheet of every line."""
    for n, who in enumerate(("plain", "spare 0", "spare 1", "spare 2", "spare 3")):
        clock.local = f"{8 + n:02}:30"
        before_opening.sign(lead, who)
    withdraw = f"/api/lines/{before_opening.ids['spare 0']}/signature/withdraw"
    before_opening.post(lead, withdraw, {"reason": "Wrong person."})
    call(before_opening, lead, "spare 1", "remove")
    carrying = sum(
        before_opening.sheet(lead, who)["state"]["signature"] is not None for who in PEOPLE
    )
    assert turnout(lead)["total"]["signed"] == carrying == 4


def test_nothing_but_counts_is_told(before_opening: Precinct, lead: TestClient, clock: At) -> None:
    before_opening.sign(lead, "plain")
    text = json.dumps(turnout(lead))
    for secret in ("Quillfeather", "100000001", "1980", before_opening.ids["plain"]):
        assert secret not in text


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ["Signed in so far", "Precinct 4-07", "As of 2:05 p.m.", "It is not a result"]),
        ("es", ["Firmas hasta ahora", "Precinto 4-07", "Hora: 2:05 p. m.", "No es un resultado"]),
    ],
)
def test_the_count_on_the_door_says_how_many_and_that_it_is_no_result(
    before_opening: Precinct, lead: TestClient, clock: At, language: str, said: list[str]
) -> None:
    for local, who in (("08:20", "plain"), ("13:10", "spare 0"), ("13:50", "spare 1")):
        clock.local = local
        before_opening.sign(lead, who)
    clock.local = "14:05"
    answer = lead.get(f"/api/papers/posted-count.pdf?language={language}")
    assert answer.headers["content-type"] == "application/pdf"
    (page,) = PdfReader(io.BytesIO(answer.content)).pages
    text = page.extract_text().replace("\u00a0", " ")
    for words in said:
        assert words in " ".join(text.split())
    assert "\n3\n" in text
    assert "Quillfeather" not in text


def test_an_unknown_language_of_the_paper_is_refused(
    before_opening: Precinct, lead: TestClient
) -> None:
    answer = lead.get("/api/papers/posted-count.pdf?language=xx")
    assert answer.json()["code"] == "bad-request"


def test_it_is_counted_in_one_snapshot(before_opening: Precinct, lead: TestClient) -> None:
    roster = before_opening.app.state.roster
    counted = read_turnout(roster, datetime.datetime(2027, 3, 2, 17, tzinfo=datetime.UTC))
    assert counted.hourly.total.signed == counted.signed == 0
