"""Adding a line during the day: its row, its state, its look-alikes and its entry together."""

from __future__ import annotations

import secrets

from sqlalchemy import insert

from app.records import queries
from app.records.bodies import LineAdded
from app.records.entry import Actor, Entry
from app.records.loading import LINE_ID_BYTES
from app.records.personal import Sealed, keep
from app.records.rows import line_to_row, state_to_row
from app.records.unit import Unit
from app.rules.line import Line, state_as_printed


def fresh_line_id() -> str:
    """An identifier for a line that no package brought; nobody's number stands behind it."""
    return secrets.token_hex(LINE_ID_BYTES)


def add_line(
    unit: Unit, actor: Actor, token: str, body: LineAdded, line: Line, sealed: Sealed
) -> Entry:
    """Append the entry and write the line that it adds, on which nothing stands yet."""
    entry = unit.append(actor, token, body, line.line_id)
    write_line(unit, entry, line, sealed)
    return entry


def write_line(unit: Unit, entry: Entry, line: Line, sealed: Sealed) -> None:
    """The rows of a line whose entry has been appended."""
    connection = unit.connection
    connection.execute(insert(queries.lines), line_to_row(line))
    row = state_to_row(line.line_id, state_as_printed(line.printed), version=0)
    connection.execute(insert(queries.line_states), row)
    keep(unit, entry, sealed, is_line=True)
    pairs = [{"line_id": other, "added_id": line.line_id} for other in line.look_alikes]
    if pairs:
        connection.execute(insert(queries.later_look_alikes), pairs)
