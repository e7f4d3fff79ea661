"""Hours on paper as they stand: their rows, the one that is open, and which times can be right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_paper import (
    PaperBegun,
    PaperCaughtUp,
    PaperRowKeyed,
    PaperRowSettled,
    PaperRowUndone,
)
from app.records.entry import Entry
from app.records.unit import Unit
from app.rules.catching_up import Bounds, Row, Tally, bounds, day_of, moment_of, tally

_ROWS = (PaperRowKeyed.kind, PaperRowSettled.kind, PaperRowUndone.kind)


@dataclass(frozen=True, slots=True)
class KeyedRow:
    """A row with the entries that keyed it, settled it where it waited, and took it back."""

    row: Row
    keyed: Entry
    settled: Entry | None = None
    undone: Entry | None = None

    @property
    def decided(self) -> Entry:
        """The entry that put it on its line: what was recorded with the row stands beside it."""
        return self.settled or self.keyed


@dataclass(frozen=True, slots=True)
class PaperHour:
    """One time on paper; `rows` in the order in which they were keyed."""

    begun: Entry
    rows: tuple[KeyedRow, ...] = ()
    finished: Entry | None = None

    @property
    def tally(self) -> Tally:
        return tally(one.row for one in self.rows)

    @property
    def waiting(self) -> list[int]:
        """Numbers of the rows whose person is on no line."""
        rows = (one.row for one in self.rows)
        return [row.number for row in rows if row.effect == "waits" and not row.is_undone]

    @property
    def hours(self) -> tuple[str, str]:
        """From when until when, local; each blank where nobody said."""
        return self.begun.body["from_time"], self.begun.body["until_time"]


def open_paper_hours(connection: Connection) -> list[Entry]:
    """The entries of every time on paper that is not caught up: until then no count is whole."""
    begun = queries.entries_of(connection, PaperBegun.kind)
    done = {one.body["begun_seq"] for one in queries.entries_of(connection, PaperCaughtUp.kind)}
    return [one for one in begun if one.seq not in done]


def open_hour(connection: Connection) -> PaperHour | None:
    """The hour that is worked now with its rows, None where nobody is on paper."""
    begun = open_paper_hours(connection)
    return hour_of(connection, begun[-1].seq) if begun else None


def hour_of(connection: Connection, begun_seq: int) -> PaperHour:
    """The hour that began with this entry, whether it is caught up or not."""
    entries = queries.entries_of(connection, *_ROWS)
    rows = _rows([one for one in entries if one.body["begun_seq"] == begun_seq])
    return PaperHour(queries.entry(connection, begun_seq), rows)


def paper_hours(connection: Connection) -> list[PaperHour]:
    """Every time on paper, oldest first."""
    entries = queries.entries_of(connection, *_ROWS)
    done = {
        one.body["begun_seq"]: one for one in queries.entries_of(connection, PaperCaughtUp.kind)
    }
    return [
        PaperHour(
            begun,
            _rows([one for one in entries if one.body["begun_seq"] == begun.seq]),
            done.get(begun.seq),
        )
        for begun in queries.entries_of(connection, PaperBegun.kind)
    ]


def why_not_then(unit: Unit, roster: Roster, local: str) -> str | None:
    """Why nobody can have signed at this local time, None where they can, or where it is blank."""
    if not local:
        return None
    return _bounds(unit, roster).why_not(moment_on_paper(unit, roster, local))


def moment_on_paper(unit: Unit, roster: Roster, local: str) -> datetime:
    """A local time that was written on paper, as a moment of the day that is worked."""
    zone = zone_of(roster)
    on = day_of(queries.day_state(unit.connection), zone, unit.now())
    return moment_of(on, local, zone)


def wrong_time(unit: Unit, roster: Roster, field: str, local: str, why: str) -> Refused:
    """The refusal of a time on paper, with the times between which it can be."""
    zone, found = zone_of(roster), _bounds(unit, roster)
    facts = {
        "field": field,
        "time": local,
        "why": why,
        "earliest": found.earliest.astimezone(zone).strftime("%H:%M"),
        "latest": found.latest.astimezone(zone).strftime("%H:%M"),
    }
    return Refused("paper-time-wrong", facts)


def zone_of(roster: Roster) -> ZoneInfo:
    return ZoneInfo(roster.setting.election.time_zone)


def local_time(unit: Unit, roster: Roster) -> str:
    """What the clock shows at the place now."""
    return unit.now().astimezone(zone_of(roster)).strftime("%H:%M")


def _bounds(unit: Unit, roster: Roster) -> Bounds:
    day = queries.day_state(unit.connection)
    return bounds(roster.setting.election, day, zone_of(roster), unit.now())


def _rows(entries: list[Entry]) -> tuple[KeyedRow, ...]:
    settled = {one.body["keyed_seq"]: one for one in entries if one.kind == PaperRowSettled.kind}
    undone = {one.body["row_number"]: one for one in entries if one.kind == PaperRowUndone.kind}
    keyed = (one for one in entries if one.kind == PaperRowKeyed.kind)
    return tuple(
        _row(one, settled.get(one.seq), undone.get(one.body["row_number"])) for one in keyed
    )


def _row(keyed: Entry, settled: Entry | None, undone: Entry | None) -> KeyedRow:
    """Its place is as it was keyed; its line and what it does as the lead settled it."""
    body, decided = keyed.body, settled or keyed
    row = Row(
        body["row_number"],
        decided.line_id,
        body["time"],
        body["page"],
        body["order"],
        decided.body["effect"],
        undone is not None,
    )
    return KeyedRow(row, keyed, settled, undone)
