"""The carbon: a second copy of the record in a file on another device, such as a stick.

Each change is one line, written and synced before the action is acknowledged. A file that is
behind, torn or was away is not mended: a new one is written beside it and takes its place once it
is whole.
"""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import Connection

from app.records import keyring, queries
from app.records.carbon_cut import AsLeft, as_it_is, leave
from app.records.carbon_file import CarbonBroken, Lock, Pen
from app.records.carbon_reading import Held, held_by
from app.records.changes import Change, change_no, every_row
from app.records.copies import CopyFailed, MakeCopy, Read, Why
from app.records.entry import Head, canonical
from app.records.tables import SCHEMA_VERSION
from app.rules.faults import CopyRefused, RecordBehindCarbon
from app.rules.setting import Setting
from app.trust.durable_file import sync_folder, temporary_of
from app.trust.sealing import Use

# A stick that takes longer holds up a queue of people; it is reported and caught up later.
PATIENCE_SECONDS = 2.0

_WHY = {
    errno.ENOSPC: Why.FULL,
    errno.EDQUOT: Why.FULL,
    errno.EROFS: Why.READ_ONLY,
    errno.EACCES: Why.READ_ONLY,
    errno.EPERM: Why.READ_ONLY,
    errno.ENOENT: Why.GONE,
    errno.ENOTDIR: Why.GONE,
    errno.ENODEV: Why.GONE,
    errno.ENXIO: Why.GONE,
    errno.ESTALE: Why.GONE,
}


def carbon_name(setting: Setting) -> str:
    """Tells precinct and day, and nothing else: `carbon-4-07-2027-03-02.jsonl`."""
    precinct = re.sub(r"[^A-Za-z0-9]+", "-", setting.precinct.number).strip("-")
    return f"carbon-{precinct}-{setting.election.date.isoformat()}.jsonl"


def carbon_into(folder: Path, record: Path) -> MakeCopy:
    """What makes the carbon of an open record, sealed where that is encrypted.

    CopyRefused for the record's own folder.
    """
    if folder.resolve() == record.parent.resolve():
        raise CopyRefused(why="the carbon must be in another folder than the record, best a stick")
    return lambda read: Carbon(folder, record, read, _lock_of(record))


def _lock_of(record: Path) -> Lock | None:
    sealer = keyring.sealer_for(record, Use.CARBON)
    if sealer is None:
        return None
    return Lock(sealer, keyring.slots_path(record).read_text(encoding="utf-8"))


def is_on_one_disk(folder: Path, record: Path) -> bool:
    """Whether what takes one of the two would take the other; False where it cannot be told."""
    try:
        return folder.stat().st_dev == record.stat().st_dev
    except OSError:
        return False


class Carbon:
    """The carbon of one record in `folder`, which is never made: an empty place where a stick was
    would be taken for the stick.
    """

    which = "carbon"
    patience_seconds = PATIENCE_SECONDS

    def __init__(self, folder: Path, record: Path, read: Read, lock: Lock | None = None) -> None:
        self._folder, self._record, self._read, self._lock = folder, record, read, lock
        self.path = folder / carbon_name(read(queries.setting))
        self._pen = Pen(lock)
        self._descriptor: int | None = None
        # What the file must have: a device may lose its end without any error.
        self._size = 0
        self._left: AsLeft | None = None
        self._was_elsewhere = False

    def resume(self) -> int | None:
        """See `Copy`. CopyRefused where the file is another record's, or was changed by anybody
        but this program; RecordBehindCarbon where the record was put back to an earlier state than
        the file holds.
        """
        with _told_as_failure():
            # First let go: a stick that was pulled out cannot be put back while it is held.
            self._close()
            self._check_folder()
            if not self.path.exists():
                return None
            found = as_it_is(self.path)
            try:
                held = held_by(self.path, self._lock.sealer if self._lock else None)
            except CarbonBroken as broken:
                if found == self._left:
                    return None
                raise CopyRefused(
                    why=f"{self.path.name} does not hold ({broken}): keep it for the registrar, "
                    "move it out of that folder and start again"
                ) from None
            if not self._read(lambda connection: _is_in_step(connection, held, self.path.name)):
                return None
            self._pen = Pen(self._lock, held.digest, held.number)
            self._begin(found.size)
            return held.no

    def start_over(self) -> int:
        """Write the whole record into a new file, which then takes the place of the old one."""
        with _told_as_failure():
            # First let go: a stick that was pulled out cannot be put back while it is held.
            self._close()
            self._check_folder()
            pen, fresh = Pen(self._lock), temporary_of(self.path)
            try:
                no, size = self._read(lambda connection: _write_whole(connection, fresh, pen))
                fresh.replace(self.path)
            finally:
                # Of a full or broken device it may stay; the next try takes it away.
                with suppress(OSError):
                    fresh.unlink(missing_ok=True)
            sync_folder(self._folder)
            self._pen = pen
            self._begin(size)
            return no

    def write(self, change: Change) -> None:
        with _told_as_failure():
            if self._descriptor is None:
                raise CopyFailed(Why.GONE)
            line = self._pen.line(change.text)
            self._size += len(line)
            try:
                _write_all(self._descriptor, line)
                os.fsync(self._descriptor)
                self._check_still_there(self._descriptor)
            except (OSError, CopyFailed):
                self._left = leave(self._descriptor, self.path, line, self._size)
                raise

    def close(self) -> None:
        with suppress(OSError):
            self._close()

    def _begin(self, size: int) -> None:
        """Go on behind a file that holds the record, and had this size when that was found."""
        self._descriptor = os.open(self.path, _APPEND)
        self._size, self._left = size, None

    def _close(self) -> None:
        if self._descriptor is not None:
            descriptor, self._descriptor = self._descriptor, None
            os.close(descriptor)

    def _check_folder(self) -> None:
        """The folder is there, and not on the record's own disk once it was on another."""
        if not self._folder.is_dir():
            raise CopyFailed(Why.GONE)
        if self._folder.stat().st_dev != self._record.stat().st_dev:
            self._was_elsewhere = True
        elif self._was_elsewhere:
            raise CopyFailed(Why.GONE)

    def _check_still_there(self, descriptor: int) -> None:
        """A file that was removed, or whose device was, can be written still, into nothing; one
        that was cut, so that nothing behind the cut can be read.
        """
        written, found = os.fstat(descriptor), self.path.stat()
        if (written.st_dev, written.st_ino) != (found.st_dev, found.st_ino):
            raise CopyFailed(Why.GONE)
        if written.st_size != self._size:
            raise CopyFailed(Why.FAILED)


_APPEND = os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0)
_CREATE = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0)


@contextmanager
def _told_as_failure() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise CopyFailed(_WHY.get(error.errno or 0, Why.FAILED)) from error


def _is_in_step(connection: Connection, held: Held, name: str) -> bool:
    """Whether the file holds exactly this record; False where it is behind or torn."""
    if held.first != queries.entry(connection, 1).hash:
        raise CopyRefused(
            why=f"{name} is the carbon of another record; move it away or name another folder"
        )
    last = change_no(connection)
    if held.no > last or not queries.has_head(connection, held.head):
        raise RecordBehindCarbon(
            entries=queries.head(connection).seq,
            carbon_entries=held.head.seq,
            why=f"{name} holds {held.head.seq} entries that this record does not hold as they "
            "stand there: an older copy of the record was put in its place. "
            "Keep both; run: tablebook recover --carbon FILE --out sqlite:///recovered.db",
        )
    return held.no == last and not held.is_torn


def _write_whole(connection: Connection, fresh: Path, pen: Pen) -> tuple[int, int]:
    """Every row of the record, of one moment, durable in the new file; the last change's number,
    and how many bytes that is.
    """
    no, head = change_no(connection), queries.head(connection)
    fresh.unlink(missing_ok=True)
    descriptor = os.open(fresh, _CREATE, 0o600)
    try:
        with os.fdopen(descriptor, "wb", closefd=False) as file:
            file.write(pen.first())
            file.write(pen.line(_heading(connection, no, head)))
            file.writelines(pen.line(says) for says in every_row(connection))
            size = file.tell()
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    return no, size


def _heading(connection: Connection, no: int, head: Head) -> str:
    setting = queries.setting(connection)
    return canonical(
        {
            "carbon": 1,
            "date": setting.election.date.isoformat(),
            "first": queries.entry(connection, 1).hash,
            "head": {"hash": head.hash, "seq": head.seq},
            "no": no,
            "precinct": setting.precinct.number,
            "schema": SCHEMA_VERSION,
        }
    )


def _write_all(descriptor: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(descriptor, view) :]
