"""No request that somebody signed on can send is answered with what is not described.

Five thousand requests and more, drawn from the description of the API by schemathesis.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from schemathesis.core.failures import FailureGroup

from app.api import routes_lines
from app.api.access import ACCESS
from app.api.described import describe
from app.records.store import verify_database
from tests.api.any_request import LEFT_OUT, try_every_route
from tests.api.busy_day import precinct_in

# Of each route, for each role: together above five thousand.
EXAMPLES = 27
ROLES = {"RM": "worker", "LO": "lead", "GS": "registrar"}


@pytest.mark.parametrize("initials", ROLES)
def test_any_request_is_answered_as_described_and_the_log_holds(
    initials: str, tmp_path: Path
) -> None:
    with precinct_in(tmp_path) as precinct:
        assert precinct.post(precinct.station("LO"), "/api/day/open").status_code == 200
        tried = try_every_route(precinct, precinct.station(initials), EXAMPLES)
    print(f"{ROLES[initials]}: {tried.cases:,} requests, {dict(sorted(tried.statuses.items()))}")
    assert tried.cases > 1_700
    assert tried.statuses[200] > 50
    assert verify_database(precinct.url).holds


def test_every_route_is_described_and_tried(tmp_path: Path) -> None:
    with precinct_in(tmp_path) as precinct:
        paths = describe(precinct.app)["paths"]
    described = {(method.upper(), path) for path, of in paths.items() for method in of}
    assert described == set(ACCESS)
    assert described >= LEFT_OUT


def test_a_route_that_breaks_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("planted")

    monkeypatch.setattr(routes_lines, "find", broken)
    with precinct_in(tmp_path) as precinct, pytest.raises(FailureGroup, match="Server error"):
        try_every_route(precinct, precinct.station("LO"), 2)
