"""What an entry says of a person, kept beside the log and tied to it by a salted digest.

The log can be handed on without names, birth dates and addresses; whoever changes what
is kept here is found by `verify`. The salt stays here too: from the log alone nobody
can try out names until a digest fits.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select

from app.records import queries
from app.records.entry import Entry, canonical, sha256_hex
from app.records.rows import line_to_row
from app.records.unit import Unit
from app.rules.faults import NotFound
from app.rules.line import Line

SALT_BYTES = 16


@dataclass(frozen=True, slots=True)
class Sealed:
    """Details with their salt; `digest` is what stands in the entry."""

    salt: str
    details: str

    @property
    def digest(self) -> str:
        return sha256_hex((self.salt + self.details).encode())


def seal(details: Mapping[str, Any]) -> Sealed:
    """Plain JSON data, sealed with a fresh salt."""
    return Sealed(secrets.token_hex(SALT_BYTES), canonical(dict(details)))


def seal_line(line: Line) -> Sealed:
    """An added line, sealed as it stands in its row."""
    return seal(line_to_row(line))


def keep(unit: Unit, entry: Entry, sealed: Sealed) -> None:
    """Keep what `entry` says of a person."""
    row = {"seq": entry.seq, "salt": sealed.salt, "details": sealed.details}
    unit.connection.execute(insert(queries.personal), row)


def keep_lines(unit: Unit, added: Sequence[tuple[Entry, Sealed]]) -> None:
    """Keep the salts of added lines, whose details are their own rows."""
    rows = [{"seq": entry.seq, "salt": sealed.salt, "details": None} for entry, sealed in added]
    for start in range(0, len(rows), queries.ROWS_AT_ONCE):
        unit.connection.execute(
            insert(queries.personal), rows[start : start + queries.ROWS_AT_ONCE]
        )


def details_of(connection: Connection, entry: Entry) -> dict[str, Any]:
    """What was kept with `entry`; empty where nothing was."""
    sealed = sealed_of(connection, entry)
    found: dict[str, Any] = json.loads(sealed.details) if sealed else {}
    return found


def sealed_of(connection: Connection, entry: Entry) -> Sealed | None:
    """What was kept with `entry` and its salt, None where nothing was or the line is gone."""
    personal = queries.personal
    row = connection.execute(select(personal).where(personal.c.seq == entry.seq)).first()
    return None if row is None else sealed_in(connection, entry, row)


def sealed_in(connection: Connection, entry: Entry, row: Any) -> Sealed | None:
    """The same of its row, which was read already."""
    if row.details is not None:
        return Sealed(row.salt, row.details)
    try:
        line = queries.line_as_stored(connection, str(entry.line_id))
    except NotFound:
        return None
    return Sealed(row.salt, canonical(line_to_row(line)))
