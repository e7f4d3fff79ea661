"""Hearing what is written to a record that several programs share, on a database server.

Whichever of them wrote it, this one reads it here, in the order of the log: what it keeps in
memory follows, and its pages are told. A file has one server, whose writer tells by itself.
"""

from __future__ import annotations

import threading

from sqlalchemy import Engine

from app.records import postgresql, queries
from app.records.writer import Announce

# Waiting ends as often as that, to see whether the record is being closed, and the log is read
# on whether or not a message came.
_WAIT_SECONDS = 0.25
# A server that went away is asked again as often as that.
_AGAIN_SECONDS = 1.0
# More than any late list has: its entries are told together, and all are held in memory.
_AT_ONCE = 20_000


class SharedLog:
    """Tells of every entry after `since`, from a thread of its own. Close it.

    Where something was changed without an entry, it tells of none.
    """

    def __init__(self, engine: Engine, since: int, tell: Announce) -> None:
        self._engine = engine
        self._seq = since
        self._tell = tell
        self._is_closed = threading.Event()
        self._thread = threading.Thread(target=self._run, name="shared log", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop hearing. Safe to call twice."""
        self._is_closed.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._is_closed.is_set():
            try:
                self._listen()
            except Exception:  # noqa: BLE001 - whatever broke: it goes on where it was
                self._is_closed.wait(_AGAIN_SECONDS)

    def _listen(self) -> None:
        with postgresql.listening(self._engine) as connection:
            has_changed = True
            while not self._is_closed.is_set():
                self._read_on(has_changed=has_changed)
                has_changed = postgresql.heard(connection, _WAIT_SECONDS)

    def _read_on(self, *, has_changed: bool) -> None:
        while True:
            with self._engine.connect() as connection:
                entries = list(queries.entries_after(connection, self._seq, _AT_ONCE))
            if entries or has_changed:
                self._tell(entries)
            if not entries:
                return
            self._seq, has_changed = entries[-1].seq, False
