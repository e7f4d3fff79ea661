"""The open record: the writer and the readers of one database, opened and closed together."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError, DBAPIError, OperationalError

from app.records import postgresql, schema, signed_heads
from app.records.bodies_copies import CopyIsBack, CopyWentOut
from app.records.clock import Clock
from app.records.copies import Copies, CopyState, Keeper, MakeCopy, Standing
from app.records.engine import open_for_reading, open_for_writing, sqlite_path
from app.records.entry import PROGRAM, Entry
from app.records.shared_log import SharedLog
from app.records.standby_epoch import newer_than_own
from app.records.standby_record import followed_by
from app.records.unit import Unit
from app.records.verify import Progress, Verification, damage, verify
from app.records.writer import Announce, Writer
from app.rules.faults import CopyRefused, NewerRecordElsewhere, ReadOnlyStandby, StorageRefused

T = TypeVar("T")

COPIED_BY_THE_SERVER = (
    "a record on a database server is copied by the server itself: set up PostgreSQL's own "
    "standby and backups; a carbon or a second laptop is for a record in a file"
)

# A register of a hundred thousand lines fits; an encrypted page costs more to read than to keep.
_CACHE_KIB_OF_VERIFY = 64 * 1024


class Store:
    """One writer, many readers, the copies that are kept. Close it, or use `open_store`."""

    def __init__(
        self,
        url: str,
        clock: Clock,
        announce: Announce | None = None,
        copy_to: Sequence[MakeCopy] = (),
    ) -> None:
        self.path = sqlite_path(url)
        if self.path is None and copy_to:
            raise CopyRefused(why=COPIED_BY_THE_SERVER)
        writing = open_for_writing(url)
        try:
            with writing.begin() as connection:
                schema.prepare(connection)
                signed_heads.check_at_start(connection, self.path)
            self._reading = open_for_reading(url)
        except BaseException as fault:
            writing.dispose()
            if isinstance(fault, DBAPIError) and postgresql.is_its(fault):
                raise postgresql.refused(fault) from None
            raise
        try:
            made = [make(self.read) for make in copy_to]
        except BaseException:
            self._reading.dispose()
            writing.dispose()
            raise
        self.copies = Copies([Keeper(one, clock.now, self._write_turn) for one in made])
        self._announce = announce
        self._shared: SharedLog | None = None
        # On a database server every entry is heard of with those that other programs write.
        own = None if self.path is None else announce
        self.writer = Writer(writing, clock, own, self.copies)
        try:
            self._refuse_what_is_not_ours()
            self.copies.start()
        except BaseException:
            self.close()
            raise

    def _refuse_what_is_not_ours(self) -> None:
        """Nothing is written here while this laptop follows another, or once another took over."""
        if self.path and followed_by(self.path):
            self.writer.refuse(ReadOnlyStandby())
        newer = self.read(newer_than_own)
        if newer is not None:
            self.writer.refuse(NewerRecordElsewhere(epoch=newer))

    def _write_turn(self, state: CopyState) -> None:
        """Put into the log that a copy failed or is back; every page hears of it with the entry."""
        is_back = state.standing is Standing.IN_STEP

        def write(unit: Unit) -> None:
            body = (
                CopyIsBack(which=state.which)
                if is_back
                else CopyWentOut(which=state.which, why=str(state.why))
            )
            unit.append(PROGRAM, secrets.token_hex(16), body)

        with suppress(RuntimeError):  # the record is being closed
            self.writer.submit(write)

    def read(self, query: Callable[[Connection], T]) -> T:
        """Run `query` on a read-only connection; what it answers must not stay lazy.

        StorageRefused where the database server is away.
        """
        try:
            with self._reading.connect() as connection:
                return query(connection)
        except OperationalError as error:
            if self.path is None:
                raise StorageRefused(why="the database server does not answer") from error
            raise

    def hear(self, take_in: Announce, since: int) -> None:
        """On a database server: from now on every entry after `since`, whoever wrote it, is taken
        in and then announced; changes without an entry are taken in as none. Nothing happens where
        the record is a file: one server has it.
        """
        if self.path is not None:
            return

        def tell(entries: Sequence[Entry]) -> None:
            take_in(entries)
            if entries and self._announce:
                self._announce(entries)

        self._shared = SharedLog(self._reading, since, tell)

    def close(self) -> None:
        """Finish the queued writes and close every connection. Safe to call twice.

        The writing connection goes last: only it can fold the write-ahead log into the
        database file, so that a closed record is one file that can be copied.
        """
        self.writer.finish()
        self.copies.close()
        if self._shared:
            self._shared.close()
        self._reading.dispose()
        self.writer.close()


@contextmanager
def open_store(
    url: str,
    clock: Clock,
    announce: Announce | None = None,
    copy_to: Sequence[MakeCopy] = (),
) -> Iterator[Store]:
    """A `Store` for the length of a `with` block."""
    store = Store(url, clock, announce, copy_to)
    try:
        yield store
    finally:
        store.close()


def verify_database(url: str, progress: Progress | None = None) -> Verification:
    """Verify the record at `url` without being able to change it."""
    path = sqlite_path(url)
    # First: whoever writes meanwhile writes beside the record after it.
    beside = None if path is None else signed_heads.read_beside(path)
    engine = open_for_reading(url)
    try:
        with engine.connect() as connection:
            schema.check(connection)
            if path is not None:
                # Lines are read in another order than they lie in: each page many times.
                connection.exec_driver_sql(f"PRAGMA cache_size=-{_CACHE_KIB_OF_VERIFY}")
            return verify(connection, progress, beside)
    except DatabaseError as error:
        # Too damaged even to be asked for its version, or no database at all.
        return Verification(fault=damage(error))
    finally:
        engine.dispose()
