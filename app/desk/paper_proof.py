"""The proof of a list on paper: who keyed which row, when, and whether the totals agree."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.late_views import RowView, paper_row
from app.desk.paper_lists import counts
from app.desk.roster import Roster
from app.records import late_lists, queries
from app.records.entry import Entry
from app.records.late_lists import KeptList
from app.rules.faults import BadRequest


@dataclass(frozen=True, slots=True)
class Proof:
    """Everything that a printed proof of a list says; `rows` as they were keyed.

    `initials` are of everybody who keyed a row, in the order in which they began.
    """

    kept: KeptList
    started: Entry
    finished: Entry | None
    rows: tuple[RowView, ...]
    keyed: tuple[Entry, ...]
    count: int
    not_found: int
    initials: tuple[str, ...]


def read_proof(roster: Roster, list_id: str) -> Proof:
    """NotFound where there is no such list on paper."""

    def proof(connection: Connection) -> Proof:
        kept = late_lists.one(connection, list_id)
        if kept.started_seq is None:
            raise BadRequest(field="list_id", expected="a list on paper")
        rows = late_lists.rows_of(connection, list_id)
        keyed = [queries.entry(connection, (row.result or {})["keyed_seq"]) for row in rows]
        count, not_found = counts(rows)
        return Proof(
            kept,
            queries.entry(connection, kept.started_seq),
            queries.entry(connection, kept.done_seq) if kept.done_seq else None,
            tuple(map(paper_row, rows)),
            tuple(keyed),
            count,
            not_found,
            tuple(dict.fromkeys(entry.initials for entry in keyed)),
        )

    return roster.store.read(proof)
