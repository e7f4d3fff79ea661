"""Lines that a row of a page had added, and that were taken off again because it was wrong.

They stay in the record, removed. Nobody is meant by them: they are not found, no row of a list
means them, and no new line is compared with them.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from app.records import queries

_REMOVALS = queries.day_log.alias()

# The token of the removal follows from that of the row taken back.
_TAKEN_BACK = (
    select(_REMOVALS.c.line_id, _REMOVALS.c.seq)
    .join(queries.day_log, _REMOVALS.c.token == queries.day_log.c.token + ".1")
    .where(queries.day_log.c.kind == "late_list.row_undone", _REMOVALS.c.kind == "line.removed")
)


def taken_back(connection: Connection) -> frozenset[str]:
    """The line_ids; without those that the registrar has put back since."""
    removed = {str(row.line_id): int(row.seq) for row in connection.execute(_TAKEN_BACK)}
    states = queries.stored_states(connection, list(removed))
    by = {line_id: stored.state.removed for line_id, stored in states.items()}
    return frozenset(line_id for line_id, act in by.items() if act and act.seq == removed[line_id])
