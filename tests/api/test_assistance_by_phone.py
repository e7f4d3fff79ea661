"""The registrar says who is entitled to help: the Y of a line, put there or taken off by phone."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from app.records.store import verify_database
from app.rules.policy import Policy
from tests.api.conftest import PEOPLE, Precinct
from tests.api.listing import kinds

NO_HELP = {"wanted": False}


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def says(precinct: Precinct, lead: TestClient, who: str, value: str, **more: Any) -> Any:
    """The answer to a call by which the assistance of somebody's line becomes `value`."""
    printed = PEOPLE[who]
    body = {
        "caller": "Clerk on duty",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": "about help in the booth",
        "line_id": precinct.ids[who],
        "change": {"what": "correct_detail", "argument": f"assistance={value}"},
        "read_back": {
            "voter_number": printed.voter_number,
            "name": f"{printed.first_name} {printed.last_name}",
            "birth_year": printed.birth_date.year,
        },
        "confirmed": True,
        **more,
    }
    return precinct.post(lead, "/api/phone-ins", body)


def steps(verdict: Any) -> list[str]:
    return [step["code"] for step in verdict["steps"]]


def test_she_is_entitled_to_assistance_says_the_registrar_and_it_comes_first(
    precinct: Precinct, lead: TestClient
) -> None:
    answer = says(precinct, lead, "plain", "Y").json()
    assert (answer["before"], answer["after"]) == ({"assistance": ""}, {"assistance": "Y"})
    assert (answer["verdict"]["outcome"], steps(answer["verdict"])) == ("first", ["assistance"])
    refused = precinct.sign(lead, "plain").json()
    assert (refused["code"], steps(refused["verdict"])) == ("step-missing", ["assistance"])
    sheet = precinct.sheet(lead, "plain")
    assert sheet["line"]["assistance"] is True
    (correction,) = sheet["corrections"]
    assert (correction["detail"], correction["was"], correction["now"]) == ("assistance", "", "Y")
    path = f"/api/lines/{precinct.ids['plain']}/assistance"
    assert precinct.post(lead, path, NO_HELP).status_code == 200
    assert precinct.sign(lead, "plain").status_code == 200
    assert verify_database(precinct.url).holds


def test_the_y_is_a_mistake_says_the_registrar_and_she_signs(
    precinct: Precinct, lead: TestClient
) -> None:
    assert steps(precinct.sheet(lead, "helper")["verdict"]) == ["assistance"]
    answer = says(precinct, lead, "helper", "").json()
    assert (answer["before"], answer["after"]) == ({"assistance": "Y"}, {"assistance": ""})
    assert (answer["verdict"]["outcome"], answer["change"]["kind"]) == ("sign", "line.corrected")
    (correction,) = precinct.sheet(lead, "helper")["corrections"]
    assert (correction["was"], correction["now"]) == ("Y", "")
    assert precinct.sign(lead, "helper").status_code == 200
    assert verify_database(precinct.url).holds


@pytest.mark.parametrize(
    ("who", "value"), [("helper", "Y"), ("helper", " yes "), ("plain", ""), ("plain", "n")]
)
def test_what_stands_there_already_is_only_written_down(
    precinct: Precinct, lead: TestClient, who: str, value: str
) -> None:
    answer = says(precinct, lead, who, value).json()
    assert (answer["effect"], answer["change"]) == ("already", None)
    assert kinds(lead) == ["phone_in.recorded"]


def test_it_can_be_put_back_and_the_line_says_all_that_was_corrected(
    precinct: Precinct, lead: TestClient
) -> None:
    for value, outcome in (("no", "sign"), ("y", "first"), ("", "sign")):
        assert says(precinct, lead, "helper", value).json()["verdict"]["outcome"] == outcome
    corrections = precinct.sheet(lead, "helper")["corrections"]
    assert [one["now"] for one in corrections] == ["", "Y", ""]
    assert verify_database(precinct.url).holds


def test_help_that_was_recorded_before_the_call_is_not_asked_for_again(
    precinct: Precinct, lead: TestClient
) -> None:
    path = f"/api/lines/{precinct.ids['plain']}/assistance"
    assert precinct.post(lead, path, NO_HELP).status_code == 200
    assert says(precinct, lead, "plain", "Y").json()["verdict"]["outcome"] == "sign"


def test_a_line_that_is_signed_stays_signed(precinct: Precinct, lead: TestClient) -> None:
    assert precinct.sign(lead, "plain").status_code == 200
    verdict = says(precinct, lead, "plain", "Y").json()["verdict"]
    assert [reason["code"] for reason in verdict["reasons"]] == ["already-signed"]


class TestWhereAssistanceIsNotSettledFirst:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(assistance_first=False)

    def test_the_y_is_shown_and_stops_nobody(self, precinct: Precinct, lead: TestClient) -> None:
        assert says(precinct, lead, "plain", "Y").json()["verdict"]["outcome"] == "sign"
        assert precinct.sheet(lead, "plain")["line"]["assistance"] is True


@pytest.mark.parametrize("value", ["perhaps", "YY", "1", "true"])
def test_what_is_neither_y_nor_blank_changes_nothing_and_says_what_to_type(
    precinct: Precinct, lead: TestClient, value: str
) -> None:
    answer = says(precinct, lead, "plain", value)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    assert "Y" in str(answer.json())
    assert kinds(lead) == []
