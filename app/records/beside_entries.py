"""What stands beside single entries: the drawing, the details, and the worker who made the entry.

Exactly the entries that name a digest have something beside them, and it is what they speak of.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Table, select

from app.records import personal, queries
from app.records.entry import Entry, sha256_hex

# Enough that reading them one by one costs nothing, few enough to be held beside all the lines.
_ROWS_AT_ONCE = 1000


class _InStep:
    """The rows of a table by the entry beside which they stand, read once in the log's order: a
    query for each takes longer. `left` is the first row that no entry asked for.
    """

    def __init__(self, connection: Connection, of: Table) -> None:
        self._rows: Iterator[Any] = iter(
            connection.execute(select(of).order_by(of.c.seq)).yield_per(_ROWS_AT_ONCE)
        )
        self._row = next(self._rows, None)
        self._passed: int | None = None

    def take(self, seq: int) -> Any | None:
        """The row of an entry, None where it has none; entries come in order."""
        while self._row is not None and self._row.seq < seq:
            self._passed = self._row.seq if self._passed is None else self._passed
            self._row = next(self._rows, None)
        row = self._row
        if row is None or row.seq != seq:
            return None
        self._row = next(self._rows, None)
        return row

    @property
    def left(self) -> int | None:
        ahead = None if self._row is None else int(self._row.seq)
        return ahead if self._passed is None else self._passed


class BesideEntries:
    """Compares what stands beside the entries with them; they come in order."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._drawings = _InStep(connection, queries.drawing)
        self._details = _InStep(connection, queries.personal)
        workers = connection.execute(select(queries.workers))
        self._initials = {row.worker_id: row.initials for row in workers}

    def fault_at(self, entry: Entry) -> str | None:
        """What does not fit beside this entry; None where all does."""
        # What the program notices, and what a command does, has no initials.
        if entry.initials and self._initials.get(entry.worker_id) != entry.initials:
            return f"the worker of entry {entry.seq} is not kept, or with other initials"
        return self._drawing_fault(entry) or self._details_fault(entry)

    def fault_at_end(self) -> str | None:
        """What stands beside entries that the log does not have."""
        for what, rows in (("a drawing", self._drawings), ("details", self._details)):
            if rows.left is not None:
                return f"beside the log is kept {what} of entry {rows.left}, which it does not have"
        return None

    def _drawing_fault(self, entry: Entry) -> str | None:
        row, digest = self._drawings.take(entry.seq), entry.body.get("strokes_sha256")
        if row is digest is None:
            return None
        if digest is None:
            return f"entry {entry.seq} speaks of no drawing, and one is kept beside it"
        if row is None or sha256_hex(row.strokes.encode()) != digest:
            return f"the drawing of entry {entry.seq} is not the one it speaks of"
        return None

    def _details_fault(self, entry: Entry) -> str | None:
        row, digest = self._details.take(entry.seq), entry.body.get("details_sha256")
        if row is digest is None:
            return None
        if digest is None:
            return f"entry {entry.seq} speaks of no details, and some are kept beside it"
        sealed = row and personal.sealed_in(self._connection, entry, row)
        if sealed is None or sealed.digest != digest:
            what = "line" if entry.kind == "line.added" else "details"
            return f"the {what} of entry {entry.seq} is not what it speaks of"
        return None
