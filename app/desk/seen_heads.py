"""Heads of the log that a page remembers: how an older record that was put back is noticed.

Whoever puts an older copy in the place of the record may put back what stands beside it too. A
page that showed the newer one remembers where it ended, and asks.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.irregularities import Opened, open_beside, settled_ones
from app.records import queries
from app.records.bodies_lists import IrregularityRecorded
from app.records.entry import Actor, Entry, Head
from app.records.unit import Unit

CODE = "record-is-older"


@dataclass(frozen=True, slots=True)
class Seen:
    """What a page remembers: the hash of the first entry, and the newest one that it saw."""

    began: str
    head: Head


def fits(connection: Connection, seen: Seen) -> bool:
    """Whether the record has what was seen, or the lead has settled that it has not.

    A page may well have shown another record before: that fits, too.
    """
    if seen.began != queries.began(connection) or queries.has_head(connection, seen.head):
        return True
    about = _written_up(connection, seen)
    return about is not None and about.seq in settled_ones(connection)


def write_up(unit: Unit, actor: Actor, token: str, seen: Seen) -> Entry | None:
    """Open an irregularity about it; None where it fits, or one was opened before."""
    if fits(unit.connection, seen) or _written_up(unit.connection, seen):
        return None
    ends = queries.head(unit.connection)
    facts = {"seen": seen.head.seq, "seen_hash": seen.head.hash, "ends": ends.seq}
    return open_beside(unit, actor, token, Opened("other", CODE, "", facts))


def _written_up(connection: Connection, seen: Seen) -> Entry | None:
    """One page asks again and again; what was settled for one is settled for what it saw."""
    for entry in queries.entries_of(connection, IrregularityRecorded.kind):
        facts = entry.body["facts"]
        if entry.body["code"] == CODE and facts["seen_hash"] == seen.head.hash:
            return entry
    return None
