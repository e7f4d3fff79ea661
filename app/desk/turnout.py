"""Turnout as the lead sees it and as it is posted: counts by the hour, marks, shares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.records import queries
from app.records.entry import Head
from app.records.turnout import (
    MarkSource,
    caught_up_by_minute,
    counts_by_minute,
    marks_by_source,
)
from app.rules.catching_up import day_of, moment_of
from app.rules.moment import DayState
from app.rules.turnout import NOBODY, Counts, Hourly, hourly, share


@dataclass(frozen=True, slots=True)
class Turnout:
    """How many came, at one moment.

    `lines` are all, `removed` of them struck off; `signed` and `marked` are lines that are
    neither removed nor both: a line that is signed and marked counts as signed. `left`: signed
    and left without voting. `head` is where the log ended then.
    """

    as_of: datetime
    hourly: Hourly
    marks: Mapping[MarkSource, int]
    lines: int
    removed: int
    signed: int
    marked: int
    left: int
    head: Head

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
        day = queries.day_state(connection)
        return Turnout(
            now,
            hourly(election, day, zone, _as_signed(connection, day, zone, now)),
            marks_by_source(connection),
            standing["lines"],
            standing["removed"],
            standing["signed"],
            standing["marked"],
            queries.left_count(connection),
            queries.head(connection),
        )

    return roster.store.read(counted)


def _as_signed(
    connection: Connection, day: DayState, zone: ZoneInfo, now: datetime
) -> dict[datetime, Counts]:
    """By the minute; who signed on paper counts at the time that is written there."""
    found = counts_by_minute(connection)
    on = day_of(day, zone, now)
    for (keyed, local, is_affidavit), count in caught_up_by_minute(connection).items():
        then = moment_of(on, local, zone)
        here = Counts(affidavit=count) if is_affidavit else Counts(ordinary=count)
        gone = Counts(-here.ordinary, -here.affidavit)
        found[keyed] = found.get(keyed, NOBODY).plus(gone)
        found[then] = found.get(then, NOBODY).plus(here)
    return {at: counts for at, counts in found.items() if counts != NOBODY}
