"""Adding a line during the day: its row, its state, its look-alikes and its entry together."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, insert

from app.records import queries
from app.records.bodies import LineAdded
from app.records.entry import Actor, Entry
from app.records.loading import LINE_ID_BYTES
from app.records.personal import Sealed, keep_lines
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
    write_lines(unit, [AddedLine(entry, line, sealed)])
    return entry


@dataclass(frozen=True, slots=True)
class AddedLine:
    """A line, what was sealed of it, and the entry that adds it, which has been appended."""

    entry: Entry
    line: Line
    sealed: Sealed


def write_lines(unit: Unit, added: Sequence[AddedLine]) -> None:
    """The rows of lines whose entries have been appended.

    One statement a table for all of them: nobody can sign meanwhile.
    """
    _insert(unit, queries.lines, (line_to_row(one.line) for one in added))
    _insert(unit, queries.line_states, (_state_row(one.line) for one in added))
    keep_lines(unit, [(one.entry, one.sealed) for one in added])
    pairs = ((other, one.line.line_id) for one in added for other in one.line.look_alikes)
    rows = ({"line_id": other, "added_id": line_id} for other, line_id in pairs)
    _insert(unit, queries.later_look_alikes, rows)


def _state_row(line: Line) -> dict[str, Any]:
    return state_to_row(line.line_id, state_as_printed(line.printed), version=0)


def _insert(unit: Unit, into: Table, rows: Iterable[dict[str, Any]]) -> None:
    values = list(rows)
    for start in range(0, len(values), queries.ROWS_AT_ONCE):
        unit.connection.execute(insert(into), values[start : start + queries.ROWS_AT_ONCE])
