"""Turnout as the lead sees it and as it is posted: counts by the hour, marks, shares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.records import queries
from app.records.turnout import MarkSource, counts_by_minute, marks_by_source
from app.rules.turnout import Hourly, hourly, share


@dataclass(frozen=True, slots=True)
class Turnout:
    """How many came, at one moment.

    `lines` are all, `removed` of them struck off; `signed` and `marked` are lines that are
    neither removed nor both: a line that is signed and marked counts as signed. `left`: signed
    and left without voting.
    """

    as_of: datetime
    hourly: Hourly
    marks: Mapping[MarkSource, int]
    lines: int
    removed: int
    signed: int
    marked: int
    left: int

    @property
    def eligible(self) -> int:
        return self.lines - self.removed

    @property
    def share(self) -> float | None:
        """Of the eligible lines those that are signed or marked."""
        return share(self.signed + self.marked, self.eligible)

    @property
    def share_signed(self) -> float | None:
        return share(self.signed, self.eligible)


def read_turnout(roster: Roster, now: datetime) -> Turnout:
    """Everything counted in one snapshot of the record."""
    election = roster.setting.election
    zone = ZoneInfo(election.time_zone)

    def counted(connection: Connection) -> Turnout:
        standing = queries.counts(connection)
        by_minute = counts_by_minute(connection)
        return Turnout(
            now,
            hourly(election, queries.day_state(connection), zone, by_minute),
            marks_by_source(connection),
            standing["lines"],
            standing["removed"],
            standing["signed"],
            standing["marked"],
            queries.left_count(connection),
        )

    return roster.store.read(counted)
