"""One request's work inside the writer's transaction: what it may do to the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, bindparam, insert, update

from app.records import queries
from app.records.body import Body
from app.records.clock import Clock, to_text
from app.records.entry import Actor, Entry, Head, fresh_nonce
from app.records.fold import changes_line, fold_line
from app.records.rows import entry_to_row, state_to_row
from app.rules.faults import TokenReused
from app.rules.line import LineState

_APPEND = insert(queries.day_log)
_MOVE_ON = update(queries.line_states).where(
    queries.line_states.c.line_id == bindparam("of_line"),
    queries.line_states.c.version == bindparam("seen_version"),
)


@dataclass(frozen=True, slots=True)
class Pending:
    """An entry to be appended: its token, what it says, and the line it is about."""

    token: str
    body: Body
    line_id: str | None = None


class Unit:
    """Appends entries and keeps the derived state in step, inside one savepoint.

    Nothing is durable until the writer has committed; a fault raised from the
    work leaves no trace.
    """

    def __init__(self, connection: Connection, clock: Clock, head: Head) -> None:
        self.connection = connection
        self.head = head
        self.entries: list[Entry] = []
        self._clock = clock

    def now(self) -> datetime:
        """The wall time, to be written down; it decides nothing."""
        return self._clock.now()

    def already(
        self, token: str, kind: str, line_id: str | None = None, **said: object
    ) -> Entry | None:
        """The entry this token made before, None if the token is new.

        `said` is what the client asked for, by field of the entry's body. TokenReused
        where the token came with another action: two things must never look like one.
        """
        entry = queries.entry_by_token(self.connection, token)
        if entry is None:
            return None
        before = {name: entry.body.get(name) for name in said}
        if (entry.kind, entry.line_id, before) != (kind, line_id, said):
            raise TokenReused(seq=entry.seq, kind=entry.kind)
        return entry

    def append(
        self,
        actor: Actor,
        token: str,
        body: Body,
        line_id: str | None = None,
        strokes: str | None = None,
    ) -> Entry:
        """Append one entry, fold it into its line, keep its drawing; answers the entry.

        `app.records.fold.DoesNotFit` where the line's state does not allow it.
        """
        entry = self._chained(actor, token, body, line_id)
        self.connection.execute(_APPEND, entry_to_row(entry))
        if strokes is not None:
            self.connection.execute(insert(queries.drawing), {"seq": entry.seq, "strokes": strokes})
        if changes_line(entry):
            self._fold(entry)
        self.head = Head(entry.seq, entry.hash)
        self.entries.append(entry)
        return entry

    def append_all(self, actor: Actor, pending: Sequence[Pending]) -> list[Entry]:
        """Append many entries at once, in order; the same as `append` for each, but quicker.

        A line that an entry of the same batch adds must have no other entry in it.
        """
        entries = []
        for each in pending:
            entry = self._chained(actor, each.token, each.body, each.line_id)
            self.head = Head(entry.seq, entry.hash)
            entries.append(entry)
        rows = [entry_to_row(entry) for entry in entries]
        for start in range(0, len(rows), queries.ROWS_AT_ONCE):
            self.connection.execute(_APPEND, rows[start : start + queries.ROWS_AT_ONCE])
        self._fold_all([entry for entry in entries if changes_line(entry)])
        self.entries.extend(entries)
        return entries

    def _chained(self, actor: Actor, token: str, body: Body, line_id: str | None) -> Entry:
        content: dict[str, Any] = body.model_dump(mode="json")
        entry = Entry(
            seq=self.head.seq + 1,
            at=to_text(self._clock.now()),
            station=actor.station,
            worker_id=actor.worker_id,
            initials=actor.initials,
            token=token,
            kind=body.kind,
            line_id=line_id,
            body=content,
            nonce=fresh_nonce(),
            prev=self.head.hash,
        )
        return replace(entry, hash=entry.computed_hash())

    def _fold(self, entry: Entry) -> None:
        """Compare-and-set: the state moves on only from the version that was read."""
        if entry.line_id is None:
            raise ValueError(f"{entry.kind} needs a line")
        seen = queries.stored_state(self.connection, entry.line_id)
        state = fold_line(seen.state, entry)
        changed = self.connection.execute(
            _MOVE_ON, _move_on(entry.line_id, seen.version, state, seen.version + 1)
        )
        if changed.rowcount != 1:
            raise LostRace(entry.line_id)

    def _fold_all(self, entries: Sequence[Entry]) -> None:
        """As `_fold`, for many: each line's state is read once and moved on once."""
        line_ids = list(dict.fromkeys(str(entry.line_id) for entry in entries))
        seen = queries.stored_states(self.connection, line_ids)
        moved = dict(seen)
        for entry in entries:
            before = moved[str(entry.line_id)]
            moved[str(entry.line_id)] = queries.StoredState(
                fold_line(before.state, entry), before.version + 1
            )
        rows = [
            _move_on(line_id, seen[line_id].version, moved[line_id].state, moved[line_id].version)
            for line_id in line_ids
        ]
        for start in range(0, len(rows), queries.ROWS_AT_ONCE):
            some = rows[start : start + queries.ROWS_AT_ONCE]
            if self.connection.execute(_MOVE_ON, some).rowcount != len(some):
                raise LostRace(some[0]["of_line"])


def _move_on(line_id: str, seen_version: int, state: LineState, version: int) -> dict[str, Any]:
    row = state_to_row(line_id, state, version)
    # Setting the key, even to what it is, makes SQLite write every index of the row anew: for
    # a late list of 5,000 rows that is a second and more in which nobody can sign.
    del row["line_id"]
    return {"of_line": line_id, "seen_version": seen_version, **row}


class LostRace(Exception):
    """Another process changed the line between reading and writing; the work is tried again."""
