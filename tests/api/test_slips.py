"""The slips that people take along, as the table prints them."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from tests.api.conftest import Precinct

SENT = {
    "way": "elsewhere",
    "place": {
        "precinct": "4-02",
        "polling_place": "Sailmakers' Hall",
        "place_address": "2 Quay Street, Ternhaven",
    },
    "name": "Ambrose Nettlefold",
}
ENVELOPE = {
    "reason": "not-on-a-list",
    "name": "Zoë Nettlefold",
    "street_address": "8 Ropewalk Lane",
    "ballot_button": 1,
    "envelope": "P-0001",
    "affirmed": True,
    "how": "paper",
    "situation": {
        "spelled_otherwise": "not_found",
        "supplemental": "not_found",
        "says_eligible": "yes",
        "elsewhere": "not_known",
        "registrar": "not_reached",
    },
}


def text_of(answer: Any) -> str:
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)


def recorded(precinct: Precinct, client: TestClient, path: str, body: dict[str, Any]) -> int:
    answer = precinct.post(client, path, body)
    assert answer.status_code == 200, answer.json()
    return int(answer.json()["seq"])


def test_somebody_sent_elsewhere_takes_the_address_along(precinct: Precinct) -> None:
    table = precinct.station("RM")
    seq = recorded(precinct, table, "/api/people-directed", SENT)
    said = text_of(table.get(f"/api/papers/slip-{seq}.pdf"))
    assert "Sailmakers' Hall" in said
    assert "2 Quay Street, Ternhaven" in said
    assert "Nettlefold" in said


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_provisional_voter_takes_the_envelope_number_along(
    precinct: Precinct, language: str
) -> None:
    table = precinct.station("RM")
    seq = recorded(precinct, table, "/api/provisional-ballots", ENVELOPE)
    said = text_of(table.get(f"/api/papers/slip-{seq}.pdf", params={"language": language}))
    assert "P-0001" in said
    assert "Zoë Nettlefold" in said
    assert "555-0142" in said
    assert "Ropewalk" not in said  # nobody needs the home on a slip that may be lost


def test_a_browser_may_show_the_pdf_and_nothing_may_frame_it(precinct: Precinct) -> None:
    table = precinct.station("RM")
    seq = recorded(precinct, table, "/api/people-directed", SENT)
    answer = table.get(f"/api/papers/slip-{seq}.pdf")
    assert "object-src 'self'" in answer.headers["content-security-policy"]
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["cache-control"] == "no-store"


def test_an_entry_without_a_slip_has_none(precinct: Precinct) -> None:
    table = precinct.station("RM")
    answer = table.get("/api/papers/slip-1.pdf")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_a_ballot_recorded_by_mistake_has_no_slip(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead")
    seq = recorded(precinct, table, "/api/provisional-ballots", ENVELOPE)
    recorded(
        precinct, lead, f"/api/provisional-ballots/{seq}/withdraw", {"reason": "wrong envelope"}
    )
    assert table.get(f"/api/papers/slip-{seq}.pdf").status_code == 404


@pytest.mark.parametrize("seq", ["none", "-1", "1e3", "999999999", "9" * 30])
def test_a_number_that_is_no_entry_is_refused(precinct: Precinct, seq: str) -> None:
    assert precinct.station("RM").get(f"/api/papers/slip-{seq}.pdf").status_code in (404, 422, 400)


def test_a_language_that_is_not_spoken_is_refused(precinct: Precinct) -> None:
    table = precinct.station("RM")
    seq = recorded(precinct, table, "/api/people-directed", SENT)
    answer = table.get(f"/api/papers/slip-{seq}.pdf", params={"language": "tlh"})
    assert answer.json()["code"] == "bad-request"


def test_nobody_reads_a_slip_without_signing_on(precinct: Precinct) -> None:
    assert precinct.client().get("/api/papers/slip-1.pdf").status_code == 401


@pytest.mark.parametrize(
    ("path", "body"), [("/api/people-directed", SENT), ("/api/provisional-ballots", ENVELOPE)]
)
def test_a_worker_prints_the_slips_of_their_own_station_and_of_no_other(
    precinct: Precinct, path: str, body: dict[str, Any]
) -> None:
    seq = recorded(precinct, precinct.station("RM"), path, body)
    slip = f"/api/papers/slip-{seq}.pdf"
    other = precinct.station("TB", "Table 2").get(slip)
    assert (other.status_code, other.json()["code"]) == (403, "not-allowed")
    assert "Nettlefold" not in other.text
    # Whoever works at that table later prints it again, and the lead anywhere.
    assert precinct.station("TB", "table 1").get(slip).status_code == 200
    assert precinct.station("LO", "Lead's desk").get(slip).status_code == 200
