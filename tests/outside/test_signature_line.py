"""The rules of the signature line, as the trade teaches them.

Each sentence is common practice at a sign-in table, no source. Where a US statute
says the same it is named; its words are from memory unless the standards notes say
otherwise. The checks go through the real API.
"""

from __future__ import annotations

import pytest

from tests.api.conftest import Precinct


def stands(precinct: Precinct, who: str) -> str:
    return str(precinct.sheet(precinct.station("RM"), who)["state"]["standing"])


def test_nobody_may_sign_where_the_line_is_signed_already(precinct: Precinct) -> None:
    """Common practice, no source."""
    table = precinct.station("RM")
    assert precinct.sign(table, "plain").status_code == 200
    assert precinct.sign(table, "plain").status_code == 409


@pytest.mark.parametrize("who", ["mail", "early"])
def test_nobody_may_sign_where_the_line_says_voted_by_mail_or_voted_early(
    precinct: Precinct, who: str
) -> None:
    """Common practice, no source."""
    assert precinct.sign(precinct.station("RM"), who).status_code == 409
    assert stands(precinct, who) == "marked"


def test_where_address_confirmation_is_printed_a_card_comes_first(precinct: Precinct) -> None:
    """Common practice, no source; the card behind it: 52 U.S.C. 20507(d)-(e), from memory."""
    refused = precinct.sign(precinct.station("RM"), "card")
    assert refused.json()["steps"] == ["address-confirmation"]


def test_a_y_for_assistance_means_a_name_and_the_helpers_signature(precinct: Precinct) -> None:
    """Common practice, no source; the right to a helper: 52 U.S.C. 10508."""
    table = precinct.station("RM")
    path = f"/api/lines/{precinct.ids['helper']}/assistance"
    assert precinct.post(table, path, {"wanted": True, "how": "paper"}).status_code == 422
    assert precinct.post(table, path, {"wanted": True, "helper_name": "A"}).status_code == 422
    both = {"wanted": True, "helper_name": "Ottilie Crane", "helper_is": "other", "how": "paper"}
    assert precinct.post(table, path, both).status_code == 200


def test_the_workers_initials_stand_beside_the_signature(precinct: Precinct) -> None:
    """Common practice, no source."""
    receipt = precinct.sign(precinct.station("TB", "Table 2"), "plain").json()
    assert receipt["initials"] == "TB"


def test_the_ballot_button_is_the_one_on_the_line(precinct: Precinct) -> None:
    """Common practice, no source."""
    table = precinct.station("RM")
    assert precinct.sheet(table, "second ballot")["verdict"]["ballot_button"] == 2
    precinct.sign(table, "second ballot")
    entry = precinct.sheet(table, "second ballot")["history"][-1]
    assert entry["body"]["ballot_button"] == 2


def test_nobody_signs_before_the_polls_open(before_opening: Precinct) -> None:
    """Common practice, no source."""
    refused = before_opening.sign(before_opening.station("RM"), "plain")
    assert refused.json()["code"] == "polls-not-open"


def test_whoever_stood_in_line_at_closing_time_still_votes(precinct: Precinct) -> None:
    """Common practice, no source; state laws say it nearly everywhere."""
    table, lead = precinct.station("RM"), precinct.station("LO")
    precinct.post(lead, "/api/day/cut-off")
    assert precinct.sign(table, "plain", evidence={"in_line_at_cut_off": True}).status_code == 200


@pytest.mark.parametrize("who", ["mail", "early", "both"])
def test_in_a_federal_election_a_refusal_offers_a_provisional_ballot(
    precinct: Precinct, who: str
) -> None:
    """HAVA section 302(a), 52 U.S.C. 21082(a): a person who declares that they are registered
    and eligible is permitted to cast a provisional ballot."""
    refused = precinct.sign(precinct.station("RM"), who).json()
    options = [option["code"] for option in refused["verdict"]["options"]]
    assert "provisional-ballot" in options


def test_a_difference_in_spelling_never_stops_a_voter(precinct: Precinct) -> None:
    """52 U.S.C. 10101(a)(2)(B), from memory: an immaterial error denies nobody the vote.

    However the name was typed, the verdict on the line that was found is the same.
    """
    table = precinct.station("RM")
    for typed in ("quillfeather odette", "quilfeather odete", "odette quillfether"):
        (first, *_) = precinct.post(table, "/api/find", {"text": typed}).json()["matches"]
        assert (first["line_id"], first["outcome"]) == (precinct.ids["plain"], "sign")


def test_a_withdrawn_signature_stays_in_the_record(precinct: Precinct) -> None:
    """Common practice, no source: what is struck in a register stays readable."""
    table, lead = precinct.station("RM"), precinct.station("LO")
    precinct.sign(table, "plain")
    path = f"/api/lines/{precinct.ids['plain']}/signature/withdraw"
    precinct.post(lead, path, {"reason": "signed on the wrong line"})
    kinds = [entry["kind"] for entry in precinct.sheet(table, "plain")["history"]]
    assert kinds == ["signature.recorded", "signature.withdrawn"]
