"""A day with an hour on paper is handed over with the times that the paper says."""

from __future__ import annotations

from pathlib import Path

from starlette.testclient import TestClient

from app.desk.bundle_reading import check_bundle
from tests.api.busy_day import done
from tests.api.conftest import At, Precinct
from tests.api.test_handover import exported, rows_of
from tests.api.test_paper_hours import NETTLEFOLD, here, key, lead, table

__all__ = ["here", "lead", "table"]  # the fixtures of a table that was on paper


def test_what_was_caught_up_is_told_with_the_time_of_the_paper_and_the_bundle_holds(
    here: Precinct, lead: TestClient, table: TestClient, clock: At, tmp_path: Path
) -> None:
    assert key(here, table, "plain").status_code == 200
    done(here, table, "/api/paper/finish", {"counted": 1})
    clock.local = "20:00"
    done(here, lead, "/api/day/cut-off")
    done(here, lead, "/api/day/close", {"reason": "this test has no machines"})
    done(here, lead, "/api/day/hand-over")
    (row,) = rows_of(exported(lead, "participation.csv"))
    assert (row["time_on_paper"], row["local_time"]) == ("14:20", "2027-03-02T15:10:00-05:00")
    (tmp_path / "taken.zip").write_bytes(exported(lead, "bundle.zip"))
    assert check_bundle(tmp_path / "taken.zip").fault is None


def test_rows_that_the_lead_settled_are_in_the_bundle_and_it_holds(
    here: Precinct, lead: TestClient, table: TestClient, clock: At, tmp_path: Path
) -> None:
    for number, settled in enumerate(({"line_id": here.ids["plain"]}, {"reason": "sent on"}), 1):
        done(here, table, "/api/paper/caught-up", {**NETTLEFOLD, "order": number})
        done(here, lead, f"/api/paper/rows/{number}/settle", settled)
    done(here, table, "/api/paper/finish", {"counted": 2})
    clock.local = "20:00"
    done(here, lead, "/api/day/cut-off")
    done(here, lead, "/api/day/close", {"reason": "this test has no machines"})
    done(here, lead, "/api/day/hand-over")
    (row,) = rows_of(exported(lead, "participation.csv"))
    assert (row["time_on_paper"], row["how"]) == ("14:40", "signed")
    assert b"Nettlefold" not in exported(lead, "day-log.jsonl")
    (tmp_path / "taken.zip").write_bytes(exported(lead, "bundle.zip"))
    assert check_bundle(tmp_path / "taken.zip").fault is None
