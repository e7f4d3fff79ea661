"""The open record: the writer and the readers of one database, opened and closed together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from app.records import schema
from app.records.clock import Clock
from app.records.engine import open_for_reading, open_for_writing
from app.records.verify import Progress, Verification, damage, verify
from app.records.writer import Announce, Writer

T = TypeVar("T")


class Store:
    """One writer, many readers. Close it, or use `open_store`."""

    def __init__(self, url: str, clock: Clock, announce: Announce | None = None) -> None:
        writing = open_for_writing(url)
        with writing.begin() as connection:
            schema.prepare(connection)
        self.writer = Writer(writing, clock, announce)
        self._reading = open_for_reading(url)

    def read(self, query: Callable[[Connection], T]) -> T:
        """Run `query` on a read-only connection; what it answers must not stay lazy."""
        with self._reading.connect() as connection:
            return query(connection)

    def close(self) -> None:
        """Finish the queued writes and close every connection. Safe to call twice.

        The writing connection goes last: only it can fold the write-ahead log into the
        database file, so that a closed record is one file that can be copied.
        """
        self._reading.dispose()
        self.writer.close()


@contextmanager
def open_store(url: str, clock: Clock, announce: Announce | None = None) -> Iterator[Store]:
    """A `Store` for the length of a `with` block."""
    store = Store(url, clock, announce)
    try:
        yield store
    finally:
        store.close()


def verify_database(url: str, progress: Progress | None = None) -> Verification:
    """Verify the record at `url` without being able to change it."""
    engine = open_for_reading(url)
    try:
        with engine.connect() as connection:
            schema.check(connection)
            return verify(connection, progress)
    except DatabaseError as error:
        # Too damaged even to be asked for its version, or no database at all.
        return Verification(fault=damage(error))
    finally:
        engine.dispose()
