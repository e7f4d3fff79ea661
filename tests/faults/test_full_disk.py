"""The disk runs full in the middle of the day: never a false yes, and nothing is lost."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import httpx
import pytest

from _running_server import Day, fresh_token, running, sign_on_paper
from app.records.reserve import ENDING
from app.records.store import verify_database
from tests.faults.small_disk import NEEDS_MOUNT, day_on, fill, small_disk
from tests.faults.test_failing_disk import signed_by_token

pytestmark = [pytest.mark.survival, NEEDS_MOUNT]

# Enough for the write-ahead log of a few dozen signatures.
ROOM = 200_000
# More than fit into what is left of the last block and the write-ahead log that is there.
VOTERS = 120


def sign_until_refused(
    station: httpx.Client, day: Day, acknowledged: dict[str, int]
) -> tuple[str, str]:
    """Line and key of the first signature of which nobody is told yes."""
    for line_id in day.open_lines[len(acknowledged) :]:
        token = fresh_token()
        answer = sign_on_paper(station, line_id, token)
        if answer.status_code == 200:
            acknowledged[token] = answer.json()["seq"]
            continue
        assert answer.status_code == 503, answer.text
        assert answer.json()["what_to_do"]
        return line_id, token
    raise AssertionError("the disk never ran full")


def test_on_a_full_disk_signing_goes_on_with_the_room_that_was_kept_aside(tmp_path: Path) -> None:
    with small_disk(tmp_path, megabytes=48) as disk:
        day = day_on(disk)
        acknowledged: dict[str, int] = {}
        with running(day) as server:
            server.open_polls()
            reserve = disk / f"day.db{ENDING}"
            assert reserve.exists()
            fill(disk)
            with closing(server.station("RM", "Table 1")) as station:
                for line_id in day.open_lines[:VOTERS]:
                    token = fresh_token()
                    answer = sign_on_paper(station, line_id, token)
                    assert answer.status_code == 200, answer.text
                    acknowledged[token] = answer.json()["seq"]
            assert not reserve.exists()
            with closing(server.station("LO", "Lead's desk")) as lead:
                needs = [item["kind"] for item in lead.get("/api/attention").json()["items"]]
                assert "disk-nearly-full" in needs
        assert signed_by_token(day) == acknowledged
        assert verify_database(day.url).holds


def test_a_full_disk_stops_signing_clearly_and_once_there_is_room_it_goes_on(
    tmp_path: Path,
) -> None:
    with small_disk(tmp_path) as disk:
        day = day_on(disk)
        acknowledged: dict[str, int] = {}
        with running(day) as server:
            server.open_polls()
            # As if it had been given up before.
            (disk / f"day.db{ENDING}").unlink(missing_ok=True)
            filling = fill(disk, leaving=ROOM)
            with closing(server.station("RM", "Table 1")) as station:
                line_id, token = sign_until_refused(station, day, acknowledged)
                print(f"{len(acknowledged)} signed before the disk was full")
                assert station.get("/api/day").status_code == 200
                assert station.post("/api/find", json={"text": "a"}).status_code == 200
                filling.unlink()
                again = sign_on_paper(station, line_id, token)
                assert again.status_code == 200, again.text
                acknowledged[token] = again.json()["seq"]
                later = fresh_token()
                answer = sign_on_paper(station, day.open_lines[len(acknowledged)], later)
                assert answer.status_code == 200, answer.text
                acknowledged[later] = answer.json()["seq"]
        assert signed_by_token(day) == acknowledged
        assert verify_database(day.url).holds
