"""The bad twin of every input about people who did not simply sign: refused, without a trace."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.conftest import Precinct
from tests.api.people_apart import AFFIDAVIT, LEFT, PROVISIONAL, refused


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"last_name": ""}, "bad-request"),
        ({"last_name": "x" * 81}, "bad-request"),
        ({"last_name": "Nettle\nfold"}, "bad-request"),
        ({"birth_date": ""}, "bad-request"),
        ({"birth_date": "some time ago"}, "birth-date-unreadable"),
        ({"street_address": ""}, "bad-request"),
        ({"postal_code": "9" * 21}, "bad-request"),
        ({"ballot_button": None}, "bad-request"),
        ({"ballot_button": 9}, "bad-request"),
        ({"ballot_button": -1}, "bad-request"),
        ({"authorised_by": " "}, "bad-request"),
        ({"authorised_how": "rumour"}, "bad-request"),
        ({"how": None}, "bad-request"),
        ({"how": "drawn"}, "bad-request"),
        ({"strokes": [[[1, 1, 1]]]}, "bad-request"),
        ({"evidence": {"moved": "far"}}, "bad-request"),
        ({"evidence": {"moved": "outside"}}, "moved-outside"),
        ({"somebody_else": True}, "not-allowed"),
        ({"surprise": 1}, "bad-request"),
        ({"last_name": "Quillfeather", "first_name": "ODETTE", "birth_date": "5/17/1980"},
         "already-on-a-line"),
        ({"voter_number": "100000002"}, "already-on-a-line"),
    ],
)  # fmt: skip
def test_a_bad_affidavit_is_refused_and_nothing_is_recorded(
    precinct: Precinct, changed: dict[str, Any], code: str
) -> None:
    table = precinct.station("RM")
    body = {**AFFIDAVIT, **changed}
    assert refused(precinct, table, "/api/correction-affidavits", body)[1] == code


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"envelope": ""}, "bad-request"),
        ({"envelope": "P 1"}, "bad-request"),
        ({"envelope": "P" * 21}, "bad-request"),
        ({"name": "  "}, "bad-request"),
        ({"street_address": ""}, "bad-request"),
        ({"ballot_button": None}, "bad-request"),
        ({"ballot_button": 9}, "bad-request"),
        ({"reason": "because"}, "bad-request"),
        ({"reason": "voted-by-mail"}, "bad-request"),
        ({"reason": "extended-hours"}, "bad-request"),
        ({"affirmed": False}, "bad-request"),
        ({"affirmed": None}, "bad-request"),
        ({"how": None}, "bad-request"),
        ({"line_id": "no-such-line"}, "not-found"),
        ({"situation": {"elsewhere": "maybe"}}, "bad-request"),
        ({"surprise": 1}, "bad-request"),
    ],
)
def test_a_bad_provisional_ballot_is_refused_and_nothing_is_recorded(
    precinct: Precinct, changed: dict[str, Any], code: str
) -> None:
    table = precinct.station("RM")
    body = {**PROVISIONAL, **changed}
    assert refused(precinct, table, "/api/provisional-ballots", body)[1] == code


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"way": "away"}, "bad-request"),
        ({"reason": ""}, "bad-request"),
        ({"provisional_declined": False}, "provisional-not-offered"),
        ({"way": "elsewhere"}, "bad-request"),
        ({"way": "elsewhere", "elsewhere_id": "e9"}, "not-found"),
        ({"elsewhere_id": "e1"}, "bad-request"),
        ({"way": "elsewhere", "place": {"precinct": "", "polling_place": "x"}}, "bad-request"),
        ({"line_id": "no-such-line", "provisional_declined": False}, "not-found"),
        ({"name": "x" * 121}, "bad-request"),
        ({"surprise": 1}, "bad-request"),
    ],
)
def test_a_bad_direction_is_refused_and_nothing_is_recorded(
    precinct: Precinct, changed: dict[str, Any], code: str
) -> None:
    table = precinct.station("RM")
    assert refused(precinct, table, "/api/people-directed", {**LEFT, **changed})[1] == code


@pytest.mark.parametrize(
    ("path", "body", "code"),
    [
        ("/api/lines/{}/signature/withdraw", {"reason": "x", "why": "bored"}, "bad-request"),
        ("/api/lines/{}/signature/withdraw", {"reason": " "}, "bad-request"),
        ("/api/lines/{}/signature/move", {"reason": "x"}, "bad-request"),
        ("/api/lines/{}/signature/move", {"reason": "", "to_line_id": "x"}, "bad-request"),
        ("/api/lines/{}/signature/move", {"reason": "x", "to_line_id": "x"}, "not-found"),
        ("/api/lines/{}/left", {"reason": "x" * 501}, "bad-request"),
        ("/api/lines/{}/returned", {"reason": ""}, "bad-request"),
        ("/api/lines/{}/returned", {"reason": "x"}, "nothing-to-withdraw"),
        ("/api/lines/no-such-line/left", {"reason": "x"}, "not-found"),
        ("/api/lines/no-such-line/form-given", {}, "not-found"),
        ("/api/lines/{}/form-given", {"detail": "new name"}, "bad-request"),
        ("/api/lines/{}/assistance", {"wanted": True, "helper_is": "friend"}, "bad-request"),
        ("/api/provisional-ballots/1/withdraw", {"reason": "x"}, "not-found"),
        ("/api/provisional-ballots/999/withdraw", {"reason": "x"}, "not-found"),
        ("/api/provisional-ballots/0/withdraw", {"reason": "x"}, "bad-request"),
        ("/api/day/extend-hours", {"reference": "", "until": "21:00"}, "bad-request"),
        ("/api/day/extend-hours", {"reference": "x", "until": "9 pm"}, "bad-request"),
        ("/api/day/extend-hours", {"reference": "x", "until": "24:00"}, "bad-request"),
        ("/api/day/extend-hours", {"reference": "x", "until": "20:00"}, "bad-request"),
        ("/api/day/withdraw-turn", {"turn": "lunch", "reason": "x"}, "bad-request"),
        ("/api/day/withdraw-turn", {"turn": "day.opened", "reason": ""}, "bad-request"),
        ("/api/day/withdraw-turn", {"turn": "hours.extended", "reason": "x"},
         "turn-out-of-order"),
        ("/api/ways-out", {"situation": {"mood": "good"}}, "bad-request"),
        ("/api/elsewhere/find", {"text": "x" * 2_001}, "bad-request"),
    ],
)  # fmt: skip
def test_a_bad_correction_is_refused_and_nothing_is_recorded(
    precinct: Precinct, path: str, body: dict[str, Any], code: str
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    filled = path.format(precinct.ids["plain"])
    assert refused(precinct, lead, filled, body)[1] == code


@pytest.mark.parametrize(
    ("initials", "method", "path"),
    [
        ("RM", "GET", "/api/people-directed"),
        ("RM", "GET", "/api/provisional-ballots"),
        ("RM", "GET", "/api/helpers"),
        ("RM", "POST", "/api/day/extend-hours"),
        ("RM", "POST", "/api/day/withdraw-turn"),
        ("RM", "POST", "/api/provisional-ballots/3/withdraw"),
        ("GS", "POST", "/api/provisional-ballots"),
        ("GS", "POST", "/api/people-directed"),
        ("GS", "POST", "/api/day/extend-hours"),
    ],
)
def test_what_is_not_theirs_is_refused(
    precinct: Precinct, initials: str, method: str, path: str
) -> None:
    client = precinct.station(initials)
    answer = client.get(path) if method == "GET" else precinct.post(client, path)
    assert (answer.status_code, answer.json()["code"]) == (403, "not-allowed")
