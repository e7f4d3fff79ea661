"""Which laptop has the record: an epoch that goes up each time another one takes over.

Kept in the record itself. A laptop that has heard of a higher one than its own writes no more.
"""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert

from app.records import queries
from app.records.unit import Unit

EPOCH, _NEWER = "epoch", "newer_epoch"


def epoch_of(connection: Connection) -> int:
    """0 until another laptop takes over for the first time."""
    return int(queries.about_text(connection, EPOCH) or 0)


def newer_than_own(connection: Connection) -> int | None:
    """The higher epoch that this laptop has heard of, None where it has heard of none."""
    newer = int(queries.about_text(connection, _NEWER) or 0)
    return newer if newer > epoch_of(connection) else None


def raise_epoch(unit: Unit) -> int:
    """Take over: the epoch from here on."""
    epoch = epoch_of(unit.connection) + 1
    _set(unit.connection, EPOCH, epoch)
    return epoch


def note_newer(unit: Unit, epoch: int) -> None:
    """Another laptop has taken over with this epoch."""
    _set(unit.connection, _NEWER, epoch)


def _set(connection: Connection, name: str, epoch: int) -> None:
    connection.execute(delete(queries.about).where(queries.about.c.name == name))
    connection.execute(insert(queries.about), {"name": name, "text": str(epoch)})
