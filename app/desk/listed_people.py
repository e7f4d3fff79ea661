"""The people whom rows of a list could mean, as they may be shown, and how their lines stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.late_differences import Gone
from app.desk.late_views import RowView
from app.desk.roster import Roster
from app.records import queries
from app.rules.line import Line, Standing, as_shown


@dataclass(frozen=True, slots=True)
class Listed:
    """A line without a secret address, and its standing in one word."""

    line: Line
    standing: Standing


def people_of(
    roster: Roster, rows: Iterable[RowView], gone: Iterable[Gone] = ()
) -> dict[str, Listed]:
    """Everybody whom these rows mean or could mean, by line_id."""
    line_ids = dict.fromkeys((*_ids(rows), *(each.line_id for each in gone)))
    return people(roster, line_ids)


def people(roster: Roster, line_ids: Iterable[str]) -> dict[str, Listed]:
    """The people on these lines; unknown ones are left out."""
    wanted = list(dict.fromkeys(line_ids))

    def found(connection: Connection) -> dict[str, Listed]:
        lines = queries.lines_with(connection, wanted)
        states = queries.stored_states(connection, wanted)
        return {
            line_id: Listed(as_shown(line), states[line_id].state.standing)
            for line_id, line in lines.items()
        }

    return roster.store.read(found)


def _ids(rows: Iterable[RowView]) -> Iterator[str]:
    for row in rows:
        if row.proposal.line_id:
            yield row.proposal.line_id
        yield from row.proposal.candidates
