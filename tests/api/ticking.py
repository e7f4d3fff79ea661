"""A clock that only goes forward, and only when a test says so."""

from __future__ import annotations

from tests.api.conftest import Precinct


class Ticking:
    """In place of the monotonic clocks of a running server, which goes on from `start`."""

    def __init__(self, start: float = 1_000.0) -> None:
        self.seconds = start

    def __call__(self) -> float:
        return self.seconds

    def wait(self, seconds: float) -> None:
        self.seconds += seconds


def stop_clocks(precinct: Precinct) -> Ticking:
    """Every monotonic clock of the precinct's server, stopped."""
    ticking = Ticking()
    roster = precinct.app.state.roster
    door = precinct.app.state.door
    for one in (roster.tries, roster.sessions):
        one._started = ticking()
    roster.sessions._began.clear()
    roster.sessions._heard.clear()
    for one in (roster.tries, roster.sessions, door.codes, door.refusals):
        one._ticking = ticking
    return ticking
