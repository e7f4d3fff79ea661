"""Signing on and off: PINs, tries, stations."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from app.desk.pin_tries import HOUR_SECONDS, STATION_FREE_TRIES, WAIT_SECONDS
from app.desk.signing_on import digest, sign_on
from app.records import queries
from app.records.people import MOST_TRIES, WrongPins
from app.records.store import verify_database
from app.rules.faults import NotJoined
from tests.api.conftest import PINS, Precinct
from tests.api.hall import joined, open_hall
from tests.api.ticking import stop_clocks

LONGEST_WAIT = max(WAIT_SECONDS.values())

ROSA = {"initials": "RM", "pin": "240713", "station": "Table 1"}
WRONG = {**ROSA, "pin": "000000"}


def test_a_worker_signs_on_with_initials_in_either_case(precinct: Precinct) -> None:
    client = precinct.client()
    answer = precinct.post(client, "/api/sign-on", {**ROSA, "initials": " rm "})
    assert answer.json()["worker"]["role"] == "worker"
    assert client.get("/api/day").json()["worker"]["initials"] == "RM"


def test_a_wrong_pin_and_unknown_initials_are_told_apart_by_nobody(precinct: Precinct) -> None:
    client = precinct.client()
    wrong = precinct.post(client, "/api/sign-on", WRONG)
    unknown = precinct.post(client, "/api/sign-on", {**WRONG, "initials": "ZZ"})
    assert wrong.status_code == unknown.status_code == 401
    assert wrong.json() == unknown.json()
    assert client.get("/api/day").json()["worker"] is None


def test_ten_wrong_pins_lock_one_worker_and_nobody_else(precinct: Precinct) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    for left in range(MOST_TRIES - 1, -1, -1):
        ticking.wait(LONGEST_WAIT)
        assert precinct.post(client, "/api/sign-on", WRONG).json()["tries_left"] == left
    locked = precinct.post(client, "/api/sign-on", ROSA)
    assert (locked.status_code, locked.json()["code"]) == (423, "pin-locked")
    precinct.station("TB")


def test_a_right_pin_forgives_the_wrong_ones_once_their_hour_is_over(precinct: Precinct) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    for _ in range(2):
        for _ in range(MOST_TRIES - 1):
            ticking.wait(LONGEST_WAIT)
            assert precinct.post(client, "/api/sign-on", WRONG).status_code == 401
        ticking.wait(LONGEST_WAIT)
        assert precinct.post(client, "/api/sign-on", ROSA).status_code == 200
        ticking.wait(HOUR_SECONDS)


def test_a_worker_who_signs_on_often_hands_no_tries_to_a_guesser(precinct: Precinct) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    evaluated = 0
    for _ in range(4):
        for _ in range(4):
            evaluated += precinct.post(client, "/api/sign-on", WRONG).status_code == 401
        ticking.wait(1)
        precinct.post(client, "/api/sign-on", ROSA)
    assert evaluated == MOST_TRIES
    assert precinct.post(client, "/api/sign-on", ROSA).json()["code"] == "pin-locked"
    ticking.wait(HOUR_SECONDS)
    assert precinct.post(client, "/api/sign-on", ROSA).status_code == 200


def test_a_right_pin_counts_as_no_wrong_one_however_often_it_is_typed(precinct: Precinct) -> None:
    client = precinct.client()
    stop_clocks(precinct)
    for _ in range(MOST_TRIES + 2):
        assert precinct.post(client, "/api/sign-on", ROSA).status_code == 200


def test_from_the_fifth_wrong_pin_on_the_worker_waits_and_the_wait_grows(
    precinct: Precinct,
) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    for _ in range(5):
        assert precinct.post(client, "/api/sign-on", WRONG).status_code == 401
    waits = []
    for _ in range(4):
        held = precinct.post(client, "/api/sign-on", ROSA)
        assert (held.status_code, held.json()["code"]) == (429, "pin-wait")
        waits.append(held.json()["seconds"])
        ticking.wait(held.json()["seconds"])
        assert precinct.post(client, "/api/sign-on", WRONG).status_code == 401
    assert waits == sorted(set(waits))
    ticking.wait(LONGEST_WAIT)
    assert precinct.post(client, "/api/sign-on", ROSA).status_code == 200


def test_unknown_initials_wait_and_lock_just_the_same(precinct: Precinct) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    for _ in range(MOST_TRIES + 1):
        known = [precinct.post(client, "/api/sign-on", WRONG) for _ in range(2)]
        unknown = [
            precinct.post(client, "/api/sign-on", {**WRONG, "initials": "ZZ"}) for _ in range(2)
        ]
        assert [each.json() for each in known] == [each.json() for each in unknown]
        ticking.wait(LONGEST_WAIT)
    assert known[0].json()["code"] == "pin-locked"


def test_one_station_that_tries_everybody_in_turn_is_slowed_and_the_others_are_not(
    precinct: Precinct,
) -> None:
    client, ticking = precinct.client(), stop_clocks(precinct)
    tries = precinct.app.state.roster.tries
    names = [f"{chr(65 + n % 26)}{chr(65 + n // 26)}Q" for n in range(40)]
    answers = [
        precinct.post(client, "/api/sign-on", {**WRONG, "initials": name}).status_code
        for name in names
    ]
    assert answers.count(401) == STATION_FREE_TRIES
    assert answers.count(429) == len(names) - STATION_FREE_TRIES
    tries.check("TB", WrongPins(), "another station")
    ticking.wait(60)
    precinct.station("TB")


def test_many_guesses_at_once_are_not_evaluated_beyond_the_limit(precinct: Precinct) -> None:
    with ThreadPoolExecutor(8) as pool:
        answers = list(
            pool.map(
                lambda _: precinct.post(precinct.client(), "/api/sign-on", WRONG).status_code,
                range(24),
            )
        )
    assert Counter(answers) == {401: 5, 429: 19}


def test_signing_off_ends_the_sign_on_also_for_a_copied_cookie(precinct: Precinct) -> None:
    table = precinct.station("RM")
    copied = precinct.client()
    copied.cookies = table.cookies
    secret = table.cookies["tablebook_sign_on"]
    assert copied.get("/api/log").status_code == 200
    assert precinct.post(table, "/api/sign-off").status_code == 200
    copied.cookies.set("tablebook_sign_on", secret)
    assert copied.get("/api/log").status_code == 401


def test_the_same_key_with_the_right_pin_is_one_sign_on_with_a_fresh_secret(
    precinct: Precinct,
) -> None:
    client = precinct.client()
    precinct.post(client, "/api/sign-on", ROSA, "sign-on-sent-twice")
    first = client.cookies["tablebook_sign_on"]
    precinct.post(client, "/api/sign-on", ROSA, "sign-on-sent-twice")
    second = client.cookies["tablebook_sign_on"]
    assert first != second
    entries = client.get("/api/log").json()["entries"]
    assert [entry["kind"] for entry in entries].count("worker.signed_on") == 2  # the lead, and Rosa
    with precinct.app.state.roster.store._reading.connect() as connection:
        assert queries.sign_on_by_digest(connection, digest(first)) is None


@pytest.mark.parametrize("how", ["signed off", "ended by the lead", "another in its place"])
def test_the_key_of_a_sign_on_that_has_ended_begins_none(precinct: Precinct, how: str) -> None:
    client, key = precinct.client(), "sign-on-sent-twice"
    precinct.post(client, "/api/sign-on", ROSA, key)
    if how == "signed off":
        precinct.post(client, "/api/sign-off")
    elif how == "ended by the lead":
        lead = precinct.station("LO", "Lead's desk")
        kept = {one["initials"]: one for one in lead.get("/api/stations").json()["sign_ons"]}
        precinct.post(lead, f"/api/sign-ons/{kept['RM']['seq']}/end")
    else:
        precinct.post(client, "/api/sign-on", {**ROSA, "initials": "TB", "pin": PINS["TB"]})
    again = precinct.post(precinct.client(), "/api/sign-on", ROSA, key)
    assert (again.status_code, again.json()["code"]) == (422, "token-reused")
    # The page takes a fresh key each time the PIN is typed.
    assert precinct.post(precinct.client(), "/api/sign-on", ROSA).status_code == 200


def test_a_sign_on_whose_answer_was_lost_is_answered_again_though_its_cookie_came(
    precinct: Precinct,
) -> None:
    client, key = precinct.station("TB"), "sign-on-sent-twice"
    for _ in range(3):  # each takes the place of the one before, which is itself
        assert precinct.post(client, "/api/sign-on", ROSA, key).status_code == 200
    assert client.get("/api/day").json()["worker"]["initials"] == "RM"


def test_a_pin_that_was_on_its_way_while_its_station_was_taken_out_begins_no_sign_on(
    precinct: Precinct,
) -> None:
    open_hall(precinct)
    lead = precinct.station("LO", "Lead's desk")
    joined(precinct, lead)
    (station,) = lead.get("/api/stations").json()["stations"]
    device = station["station_id"]
    roster = precinct.app.state.roster
    asked = {"initials": "RM", "pin": PINS["RM"], "station": "Table 2", "device": device}
    sign_on(roster, token="while-let-in-000001", **asked)
    precinct.post(lead, f"/api/stations/{device}/revoke")
    with pytest.raises(NotJoined):
        sign_on(roster, token="while-taken-out-0001", **asked)
    shown = lead.get("/api/stations").json()["sign_ons"]
    assert {one["initials"] for one in shown} == {"LO"}


def test_a_sign_on_survives_a_restart_of_the_server(precinct: Precinct) -> None:
    from starlette.testclient import TestClient

    from app.server import build_app
    from tests.api.conftest import HOST

    table = precinct.station("RM")
    with TestClient(build_app(precinct.url, {HOST}), base_url=f"http://{HOST}") as again:
        again.cookies = table.cookies
        assert again.get("/api/day").json()["worker"]["initials"] == "RM"
    assert verify_database(precinct.url).holds


def test_no_pin_and_no_secret_stands_in_the_record(precinct: Precinct) -> None:
    table = precinct.station("RM")
    secret = table.cookies["tablebook_sign_on"]
    everything = table.get("/api/log").text
    assert "240713" not in everything
    assert secret not in everything
