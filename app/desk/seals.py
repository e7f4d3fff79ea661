"""Seals that are read, broken and put on."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.doubted import Insisted, Kept, keep, kept_before
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_day import SealRecorded
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.seals import Seal, doubts_about, on_now


@dataclass(frozen=True, slots=True)
class Seals:
    """`on` are the seals on each thing now; `entries` everything that was done, oldest first."""

    on: dict[tuple[str, str], list[Seal]]
    entries: tuple[Entry, ...]


def record_seal(
    unit: Unit, actor: Actor, token: str, seal: Seal, insisted: Insisted
) -> Kept | Refused:
    """Record what was done with a seal, unless its number is doubted."""
    body = SealRecorded(
        of=seal.of,
        where=seal.where,
        number=seal.number,
        act=seal.act,
        agrees=seal.agrees,
        reason=insisted.reason,
    )
    before = kept_before(unit, token, body, insisted)
    if before:
        return before
    history = [seal_of(entry) for entry in _entries(unit.connection)]
    return keep(
        unit,
        actor,
        token,
        body,
        doubts_about(seal, history),
        insisted,
        about="seal",
        refusal="seal-doubtful",
        machine=seal.where if seal.of == "machine" and seal.where else None,
    )


def read_seals(roster: Roster) -> Seals:
    entries = roster.store.read(_entries)
    return Seals(on_now(map(seal_of, entries)), tuple(entries))


def seal_of(entry: Entry) -> Seal:
    body = entry.body
    return Seal(body["of"], body["where"], body["number"], body["act"], body["agrees"], entry.seq)


def _entries(connection: Connection) -> list[Entry]:
    return queries.entries_of(connection, SealRecorded.kind)
