"""Reading what waits for somebody: open irregularities, lists, who is signed on where.

One statement each, however much waits.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from app.records import queries
from app.records.bodies import AssistanceRecorded
from app.records.bodies_lists import IrregularityRecorded, IrregularitySettled
from app.records.entry import Entry
from app.records.late_lists import KeptRow, late_lists, late_rows, value_of
from app.rules.line import MarkKind, Standing

day_log, lines = queries.day_log, queries.lines


@dataclass(frozen=True, slots=True)
class Irregularities:
    """`recorded` by entry, oldest first; `settled` are the numbers of those that were settled."""

    recorded: tuple[Entry, ...]
    settled: frozenset[int]

    @property
    def open(self) -> list[Entry]:
        return [entry for entry in self.recorded if entry.seq not in self.settled]


@dataclass(frozen=True, slots=True)
class Keyed:
    """Of a list on paper that is being keyed: the rows that count, and those that wait."""

    count: int = 0
    waiting: int = 0


@dataclass(frozen=True, slots=True)
class Helped:
    """One entry of help: who helps the voter on a line, or that nobody does."""

    at: str
    line_id: str
    body: Mapping[str, Any]


def irregularities(connection: Connection) -> Irregularities:
    """All that were recorded, and which of them were settled."""
    kinds = IrregularityRecorded.kind, IrregularitySettled.kind
    entries = queries.entries_of(connection, *kinds)
    return Irregularities(
        tuple(entry for entry in entries if entry.kind == IrregularityRecorded.kind),
        frozenset(
            entry.body["irregularity_seq"]
            for entry in entries
            if entry.kind == IrregularitySettled.kind
        ),
    )


def printed_with_both_marks(connection: Connection) -> list[str]:
    """The lines that the package itself brought with two different marks.

    Only those that stand marked or removed are read: of a hundred thousand lines few are.
    """
    both = [lines.c.marks.contains(kind.value) for kind in MarkKind]
    states = queries.line_states
    marked = states.c.standing.in_([Standing.MARKED.value, Standing.REMOVED.value])
    found = select(lines.c.line_id).join(states, states.c.line_id == lines.c.line_id)
    return sorted(connection.execute(found.where(marked, *both)).scalars())


_KEYED = (
    select(late_rows.c.list_id, late_rows.c.row_number, late_rows.c.decision, late_rows.c.result)
    .join(late_lists, late_lists.c.list_id == late_rows.c.list_id)
    .where(late_lists.c.status == "keying")
)


def keyed_so_far(connection: Connection) -> dict[str, Keyed]:
    """The rows of the lists being keyed, by list_id; lists without a row are left out."""
    found: dict[str, Keyed] = {}
    for row in connection.execute(_KEYED):
        kept = KeptRow(row.row_number, {}, value_of(row.decision), value_of(row.result))
        before = found.get(row.list_id, Keyed())
        found[row.list_id] = Keyed(
            before.count + (not kept.is_taken_back), before.waiting + kept.waits
        )
    return found


_SIGNED_ON = (
    select(queries.sign_ons.c.worker_id, queries.sign_ons.c.station, queries.workers.c.initials)
    .join(queries.workers, queries.workers.c.worker_id == queries.sign_ons.c.worker_id)
    .join(day_log, day_log.c.token == queries.sign_ons.c.token)
    .order_by(day_log.c.seq)
)


def signed_on_at(connection: Connection) -> dict[str, list[str]]:
    """The stations where somebody is signed on, each with their initials.

    A worker is where they signed on last: whoever changed tables without signing off has left
    the first one.
    """
    last = {row.worker_id: row for row in connection.execute(_SIGNED_ON)}
    found: dict[str, list[str]] = {}
    for row in last.values():
        found.setdefault(row.station, []).append(row.initials)
    return found


def help_given(connection: Connection) -> list[Helped]:
    """Every entry of help, oldest first."""
    columns = day_log.c.at, day_log.c.line_id, day_log.c.body
    mine = select(*columns).where(day_log.c.kind == AssistanceRecorded.kind)
    rows = connection.execute(mine.order_by(day_log.c.seq))
    return [Helped(row.at, row.line_id, json.loads(row.body)) for row in rows]
