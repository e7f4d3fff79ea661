"""The proof of a list on paper: who keyed which row, when, and whether the totals agree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection

from app.desk.late_views import RowView, paper_row
from app.desk.paper_lists import counts
from app.desk.roster import Roster
from app.records import late_lists, queries
from app.records.bodies_lists import LateListRowSettled, LateListRowUndone
from app.records.entry import Entry, Head
from app.records.late_lists import KeptList
from app.rules.faults import BadRequest


@dataclass(frozen=True, slots=True)
class Proof:
    """Everything that a printed proof of a list says; `rows` as they were keyed.

    `initials` are of everybody who keyed a row, in the order in which they began. `settled` and
    `undone` are the entries that did so, by row number. `head` is where the log ends now.
    """

    kept: KeptList
    started: Entry
    finished: Entry | None
    rows: tuple[RowView, ...]
    keyed: tuple[Entry, ...]
    count: int
    not_found: int
    initials: tuple[str, ...]
    settled: Mapping[int, Entry] = field(default_factory=dict)
    undone: Mapping[int, Entry] = field(default_factory=dict)
    head: Head = field(default_factory=Head)

    @property
    def last_seq(self) -> int:
        """The last entry that the proof rests on."""
        entries = [self.started, *self.keyed, *self.settled.values(), *self.undone.values()]
        seqs = [row.seq for row in self.rows if row.seq is not None]
        last = max(*(entry.seq for entry in entries), *seqs, 0)
        return max(last, self.finished.seq) if self.finished else last


def read_proof(roster: Roster, list_id: str) -> Proof:
    """NotFound where there is no such list, BadRequest where it is none on paper."""

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
            _by_row(connection, kept.started_seq, LateListRowSettled.kind),
            _by_row(connection, kept.started_seq, LateListRowUndone.kind),
            queries.head(connection),
        )

    return roster.store.read(proof)


def _by_row(connection: Connection, started_seq: int, kind: str) -> dict[int, Entry]:
    """The entries of a kind about rows of this list, by row number."""
    return {
        entry.body["row_number"]: entry
        for entry in queries.entries_of(connection, kind)
        if entry.body["list_seq"] == started_seq
    }
