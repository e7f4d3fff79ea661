"""What the lead's badge counts of late lists: rows that a person must still look at, each once."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.conftest import Precinct
from tests.api.listing import bring, bring_and_apply, row_of

NOBODY = "999999999,Nobody,Nemo,1980-01-01"


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def badge(lead: TestClient) -> int:
    return int(lead.get("/api/day").json()["counts"]["late_rows_open"])


def settle(precinct: Precinct, lead: TestClient, done: Any, row: int) -> Any:
    path = f"/api/late-lists/{done['list']['list_id']}/rows/{row}/settle"
    return precinct.post(lead, path, {"refuse": "no such voter here"})


def test_the_lead_saw_two_rows_waiting_where_one_row_stood_in_a_list_and_in_its_correction(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, row_of("plain"), NOBODY)
    assert badge(lead) == 1
    corrected = bring_and_apply(precinct, lead, row_of("plain"), NOBODY, row_of("card"))
    assert corrected["tally"]["open"] == 1
    assert badge(lead) == 1
    assert settle(precinct, lead, corrected, 3).status_code == 200
    assert badge(lead) == 0


def test_a_row_that_the_corrected_list_puts_right_waits_for_nobody(
    precinct: Precinct, lead: TestClient
) -> None:
    wrong_date = row_of("plain", birth_date="1981-05-17")
    wrong_number = row_of("card", voter_number="888888888")
    bring_and_apply(precinct, lead, wrong_date, wrong_number)
    assert badge(lead) == 2
    bring_and_apply(precinct, lead, row_of("plain"), row_of("card"))
    assert badge(lead) == 0


def test_a_row_that_the_corrected_list_no_longer_has_waits_still(
    precinct: Precinct, lead: TestClient
) -> None:
    first = bring_and_apply(precinct, lead, row_of("plain"), NOBODY)
    bring_and_apply(precinct, lead, row_of("plain"), row_of("spare 3"))
    assert badge(lead) == 1
    assert settle(precinct, lead, first, 3).status_code == 200
    assert badge(lead) == 0


def test_a_correction_that_is_only_looked_at_takes_nothing_off_the_badge(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, row_of("plain"), NOBODY)
    draft = bring(precinct, lead, row_of("plain"), NOBODY, row_of("card")).json()
    assert draft["list"]["corrects"] is not None
    assert badge(lead) == 1


def test_a_list_of_another_name_with_the_same_row_is_another_question(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, row_of("plain"), NOBODY)
    bring_and_apply(precinct, lead, NOBODY, name="another-office.csv")
    assert badge(lead) == 2


def test_the_correction_of_a_correction_asks_each_question_once(
    precinct: Precinct, lead: TestClient
) -> None:
    spares = [row_of("spare 0"), row_of("spare 1")]
    bring_and_apply(precinct, lead, *spares, NOBODY)
    bring_and_apply(precinct, lead, spares[0], NOBODY)
    assert badge(lead) == 2  # Nemo Nobody, and the spare that it lacks
    done = bring_and_apply(precinct, lead, spares[0], row_of("spare 2"), NOBODY)
    assert badge(lead) == 2
    assert len(done["gone"]) == 1
    bring_and_apply(precinct, lead, *spares, row_of("spare 2"), NOBODY)
    assert badge(lead) == 1


def test_rows_without_number_or_date_are_the_same_only_where_all_that_they_say_is(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, ",Nobody,Nemo,", ",,,1980-01-01")
    assert badge(lead) == 2
    bring_and_apply(precinct, lead, ",Nobody,Nora,", ",,,1980-01-01", row_of("spare 0"))
    assert badge(lead) == 3


def test_a_row_with_a_number_that_the_list_had_rightly_too_is_not_settled_by_that_one(
    precinct: Precinct, lead: TestClient
) -> None:
    other_name = row_of("plain", last_name="Okonjo", first_name="Ambrose")
    bring_and_apply(precinct, lead, row_of("plain"), other_name)
    assert badge(lead) == 1
    bring_and_apply(precinct, lead, row_of("plain"), row_of("spare 0"))
    assert badge(lead) == 1  # who Ambrose Okonjo is, nobody has said


def test_a_corrected_name_under_the_same_number_settles_the_row(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, row_of("plain", last_name="Okonjo", first_name="Ambrose"))
    assert badge(lead) == 1
    bring_and_apply(precinct, lead, row_of("plain"))
    assert badge(lead) == 0
