"""A vote centre: two servers on one PostgreSQL. What happens at one, the other knows."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterator

import pytest
from starlette.testclient import TestClient

from app.desk.attention_look import Watch
from app.desk.stations import Stations
from app.records.store import verify_database
from app.rules.faults import OutcomeUnknown
from app.server import build_app
from tests.api.conftest import HOST, Precinct, load
from tests.api.hall import browser, joined, open_hall, sign_on
from tests.api.live_page import happens, listening
from tests.api.people_apart import AFFIDAVIT
from tests.api.test_attention import of
from tests.database_server import ON_BOTH, ON_SERVER, running_server

# What another server did is known within milliseconds; after this it never is.
LONG_SECONDS = 30.0
# The largest that a page can say; PostgreSQL's integers end far below.
BEYOND = 2**53 - 1


@pytest.fixture
def other(precinct: Precinct) -> Iterator[Precinct]:
    """The second server; stations may come to both."""
    app = build_app(precinct.url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        second = Precinct(precinct.url, app, precinct.ids, precinct.tokens)
        open_hall(precinct)
        open_hall(second)
        yield second


def comes(is_so: Callable[[], object]) -> bool:
    ends = time.monotonic() + LONG_SECONDS
    while not is_so():
        if time.monotonic() > ends:
            return False
        time.sleep(0.01)
    return True


@ON_SERVER
def test_who_signed_at_one_is_stopped_at_the_other_with_when_and_where(
    precinct: Precinct, other: Precinct
) -> None:
    won = precinct.sign(precinct.station("RM", "Table 1"), "plain").json()
    there = other.station("TB", "Table 9")
    assert other.sheet(there, "plain")["verdict"]["outcome"] == "stop"
    lost = other.sign(there, "plain")
    assert (lost.status_code, lost.json()["code"]) == (409, "already-signed")
    said = lost.json()
    assert (said["station"], said["initials"]) == ("Table 1", "RM")
    assert said["local_time"] == won["local_time"]
    assert other.sign(there, "second ballot").json()["seq"] > won["seq"]
    assert verify_database(precinct.url).holds


@ON_SERVER
def test_the_same_token_at_the_other_server_is_the_same_signature(
    precinct: Precinct, other: Precinct
) -> None:
    """The laptop at the table was sent to the other server after it had heard nothing."""
    first = precinct.sign(precinct.station("RM"), "plain", token="asked-at-both-servers")
    again = other.sign(other.station("RM"), "plain", token="asked-at-both-servers")
    assert again.status_code == 200
    assert again.json()["seq"] == first.json()["seq"]


@ON_SERVER
def test_a_person_added_at_one_is_found_at_the_other(precinct: Precinct, other: Precinct) -> None:
    there = other.station("TB", "Table 9")

    def found() -> list[str]:
        answer = other.post(there, "/api/find", {"text": "nettlefold"}).json()
        return [match["line_id"] for match in answer["matches"]]

    assert found() == []
    added = precinct.post(
        precinct.station("RM"), "/api/correction-affidavits", dict(AFFIDAVIT)
    ).json()
    assert comes(lambda: found() == [added["line_id"]])


@ON_SERVER
def test_the_day_and_its_counts_are_the_same_at_both(precinct: Precinct, other: Precinct) -> None:
    here, there = precinct.station("RM"), other.station("TB", "Table 9")
    there.get("/api/day")
    precinct.sign(here, "plain")
    day = [client.get("/api/day").json() for client in (here, there)]
    assert day[0]["counts"] == day[1]["counts"]
    assert day[1]["counts"]["signed"] == 1


@ON_SERVER
def test_a_page_of_the_other_server_is_told(precinct: Precinct, other: Precinct) -> None:
    here, there = precinct.station("RM"), other.station("TB", "Table 9")

    async def told() -> bool:
        async with listening(other, there) as sent:
            await asyncio.to_thread(precinct.sign, here, "plain")
            wanted = precinct.ids["plain"].encode()
            return await happens(lambda: any(wanted in one.get("body", b"") for one in sent))

    assert asyncio.run(told())


@ON_SERVER
def test_a_station_joins_at_one_and_is_let_in_at_both_until_it_is_taken_out(
    precinct: Precinct, other: Precinct
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    table = joined(precinct, lead)
    there = browser(other)
    there.cookies = table.cookies
    assert comes(lambda: there.get("/api/day").status_code == 200)
    assert sign_on(other, there).status_code == 200
    stations = lead.get("/api/stations").json()["stations"]
    path = f"/api/stations/{stations[0]['station_id']}/revoke"
    assert precinct.post(lead, path).status_code == 200
    assert comes(lambda: there.get("/api/day").status_code == 401)


@ON_SERVER
def test_a_page_at_the_other_server_is_cut_off_when_its_sign_on_is_ended(
    precinct: Precinct, other: Precinct
) -> None:
    lead, there = precinct.station("LO", "Lead's desk"), other.station("TB", "Table 9")
    kept = lead.get("/api/stations").json()["sign_ons"]
    (seq,) = [one["seq"] for one in kept if one["initials"] == "TB"]

    async def cut_off() -> bool:
        async with listening(other, there):
            await asyncio.to_thread(precinct.post, lead, f"/api/sign-ons/{seq}/end")
            return await happens(lambda: not other.app.state.live._listeners)

    assert asyncio.run(cut_off())
    assert there.get("/api/log").status_code == 401


def test_nobody_is_told_yes_while_the_database_server_is_down_and_then_it_is_settled() -> None:
    """It crashes and starts again, under a server of ours that goes on all the time."""
    with running_server() as database:
        url = database.make_database()
        ids = load(url)
        app = build_app(url, {HOST})
        with TestClient(app, base_url=f"http://{HOST}"):
            hall = Precinct(url, app, ids)
            table, lead = hall.station("RM"), hall.station("LO", "Lead's desk")
            assert hall.post(lead, "/api/day/open").status_code == 200
            assert hall.sign(table, "plain", token="before-it-went-down").status_code == 200
            database.crash()
            asked = hall.sign(table, "second ballot", token="while-it-was-down")
            looked = table.get("/api/day")
            submitted = app.state.roster.store.writer.submit(lambda unit: unit.head)
            assert (asked.status_code, asked.json()["code"]) == (503, "storage-refused")
            assert (looked.status_code, looked.json()["code"]) == (503, "storage-refused")
            assert isinstance(submitted.exception(LONG_SECONDS), OutcomeUnknown)
            database.start()
            again = hall.sign(table, "plain", token="before-it-went-down")
            assert again.status_code == 200
            later = hall.sign(table, "second ballot", token="while-it-was-down")
            assert later.json()["seq"] > again.json()["seq"]
        assert verify_database(url).holds


@ON_SERVER
def test_a_table_at_the_other_server_is_not_said_to_be_quiet_here(
    precinct: Precinct, other: Precinct
) -> None:
    seconds = [1_000.0]
    precinct.app.state.watch = Watch(Stations(lambda: seconds[0]))
    lead = precinct.station("LO", "Lead's desk")
    precinct.station("RM", "Table 2").get("/api/day")
    other.station("TB", "Table 9").get("/api/day")
    seconds[0] += 1_000
    assert [item["station"] for item in of(lead, "station-quiet")] == ["Table 2"]


@ON_BOTH
def test_a_number_that_no_log_reaches_is_answered_as_one_that_is_not_there(
    precinct: Precinct,
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    assert lead.get(f"/api/log?after={BEYOND}").json()["entries"] == []
    assert lead.get(f"/api/papers/slip-{BEYOND}.pdf").status_code == 404
    for path, body in (
        (f"/api/sign-ons/{BEYOND}/end", {}),
        (f"/api/provisional-ballots/{BEYOND}/withdraw", {"reason": "it was a mistake"}),
        (f"/api/irregularities/{BEYOND}/settle", {"how": "it was settled"}),
        (f"/api/paper/rows/{BEYOND}/undo", {"reason": "it was a mistake"}),
        ("/api/door/looked-at", {"up_to_seq": BEYOND}),
    ):
        assert precinct.post(lead, path, body).status_code < 500, path
    assert verify_database(precinct.url).holds
