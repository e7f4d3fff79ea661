"""Two hundred stations at one laptop, all at once: no hall has so many."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

import bench_stations
from _hall import LAPTOP, Hall, can_have, hall_of
from _running_server import make_day
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from bench_stations import Measured, Station, all_at_once

pytestmark = pytest.mark.survival

STATIONS = 200
WORK_SECONDS = 6.0


async def all_sign(stations: list[Station], line_id: str) -> None:
    await asyncio.gather(*(station.sign(line_id) for station in stations))


def joined(hall: Hall, measured: Measured) -> list[Station]:
    return [Station(hall, number, measured) for number in range(STATIONS)]


@pytest.mark.skipif(not can_have(LAPTOP, "127.1.0.1"), reason="this system gives itself one 127.*")
def test_two_hundred_stations_work_at_once_and_all_want_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Everybody signs somebody while all ask how the day stands and listen.
    monkeypatch.setattr(bench_stations, "VOTER_EVERY_SECONDS", WORK_SECONDS / 2)
    measured, day = Measured(), make_day(tmp_path)
    *lines, wanted_by_all = day.open_lines
    with hall_of(day) as hall:
        stations = joined(hall, measured)
        asyncio.run(all_at_once(stations, WORK_SECONDS, lines))
        worked = dict(measured.statuses)
        measured.statuses.clear()
        asyncio.run(all_sign(stations, wanted_by_all))
        raced = dict(measured.statuses)
    assert {status for _what, status in worked} == {200}
    acknowledged = worked["signature", 200]
    assert acknowledged >= STATIONS
    # They hear of what the others sign; how much of it depends on when each began to listen.
    assert measured.told > STATIONS
    assert raced == {("signature", 200): 1, ("signature", 409): STATIONS - 1}
    with open_store(day.url, SystemClock()) as store:
        signed = store.read(lambda record: queries.entries_of(record, "signature.recorded"))
    assert len({entry.line_id for entry in signed}) == len(signed) == acknowledged + 1
    assert verify_database(day.url).fault is None
