"""A station that has gone quiet while the polls are open: heard, silent, left."""

from __future__ import annotations

import asyncio

import pytest
from starlette.testclient import TestClient

from app.desk.attention_look import Watch
from app.desk.stations import Stations
from app.rules.attention import QUIET_SECONDS, is_quiet
from tests.api.conftest import Precinct
from tests.api.live_page import listening
from tests.api.test_attention import of
from tests.database_server import ON_BOTH


class Ticking:
    """Seconds that pass when a test says so."""

    def __init__(self) -> None:
        self.seconds = 1_000.0

    def __call__(self) -> float:
        return self.seconds


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


@pytest.fixture
def ticking(precinct: Precinct) -> Ticking:
    """The stations' clock, in the hands of the test, from before anybody signed on."""
    clock = Ticking()
    precinct.app.state.watch = Watch(Stations(clock))
    return clock


@ON_BOTH
def test_a_table_that_is_not_heard_for_a_minute_is_quiet_until_it_calls_again(
    precinct: Precinct, lead: TestClient, ticking: Ticking
) -> None:
    table = precinct.station("RM", "Table 2")
    ticking.seconds += QUIET_SECONDS
    assert of(lead, "station-quiet") == []
    ticking.seconds += 1
    (item,) = of(lead, "station-quiet")
    assert item["station"] == "Table 2"
    assert item["facts"] == {"station": "Table 2", "initials": ["RM"], "seconds": 61}
    assert of(lead, "station-quiet")[0]["key"] == item["key"]
    table.get("/api/day")
    assert of(lead, "station-quiet") == []


def test_a_table_whose_worker_signed_off_has_left(
    precinct: Precinct, lead: TestClient, ticking: Ticking
) -> None:
    table = precinct.station("RM", "Table 2")
    precinct.post(table, "/api/sign-off")
    ticking.seconds += 1_000
    assert of(lead, "station-quiet") == []


def test_whoever_went_to_another_table_without_signing_off_has_left_the_first(
    precinct: Precinct, lead: TestClient, ticking: Ticking
) -> None:
    precinct.station("RM", "Table 1")
    precinct.station("RM", "Table 2")
    ticking.seconds += 1_000
    assert [item["station"] for item in of(lead, "station-quiet")] == ["Table 2"]


def test_after_closing_no_table_is_quiet(
    precinct: Precinct, lead: TestClient, ticking: Ticking
) -> None:
    precinct.station("RM", "Table 2")
    ticking.seconds += 1_000
    for turn, is_told in (("cut-off", True), ("close", False)):
        precinct.post(lead, f"/api/day/{turn}")
        assert bool(of(lead, "station-quiet")) is is_told


def test_before_opening_no_table_is_quiet(before_opening: Precinct) -> None:
    clock = Ticking()
    before_opening.app.state.watch = Watch(Stations(clock))
    lead = before_opening.station("LO", "Lead's desk")
    before_opening.station("RM", "Table 2")
    clock.seconds += 1_000
    assert of(lead, "station-quiet") == []


def test_after_a_restart_everybody_has_a_minute_to_call() -> None:
    clock = Ticking()
    stations = Stations(clock)
    clock.seconds += QUIET_SECONDS
    assert not is_quiet(stations.silent_seconds("Table 1"))
    clock.seconds += 1
    assert is_quiet(stations.silent_seconds("Table 1"))


def test_a_page_that_listens_is_never_quiet_and_one_that_closes_is_after_a_minute() -> None:
    clock = Ticking()
    stations = Stations(clock)
    with stations.listening("Table 1"):
        with stations.listening("Table 1"):
            clock.seconds += 5_000
        clock.seconds += 5_000
        assert stations.silent_seconds("Table 1") == 0
    clock.seconds += QUIET_SECONDS
    assert not is_quiet(stations.silent_seconds("Table 1"))
    clock.seconds += 1
    assert is_quiet(stations.silent_seconds("Table 1"))


def test_an_open_live_stream_keeps_its_table_heard(
    precinct: Precinct, lead: TestClient, ticking: Ticking
) -> None:
    """The real stream: open, then closed by the page."""
    table = precinct.station("RM", "Table 2")
    stations: Stations = precinct.app.state.watch.stations

    async def scenario() -> float:
        async with listening(precinct, table):
            ticking.seconds += 5_000
            return stations.silent_seconds("Table 2")

    assert asyncio.run(scenario()) == 0
    ticking.seconds += QUIET_SECONDS + 1
    assert stations.silent_seconds("Table 2") == QUIET_SECONDS + 1
