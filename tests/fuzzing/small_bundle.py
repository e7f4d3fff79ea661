"""The bundle of a small day, made once for the readers to be tried with."""

from __future__ import annotations

from pathlib import Path

from tests.api.busy_day import precinct_in, work_the_day


def make_bundle(folder: Path) -> bytes:
    """A whole day over HTTP in `folder`, and what it hands over."""
    folder.mkdir(exist_ok=True)
    with precinct_in(folder) as precinct:
        lead = work_the_day(precinct)
        answer = precinct.post(lead, "/api/day/hand-over")
        if answer.status_code != 200:
            raise RuntimeError(f"the day was not handed over: {answer.text}")
        return lead.get("/api/exports/bundle.zip").content
