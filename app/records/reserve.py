"""Room kept aside on the disk, which is given up once the disk is full.

Whatever fills a disk, it fills it while people stand in line. The room that comes free is enough
for a thousand signatures, and while the lead is told, the table goes on.
"""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import suppress
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from app.rules.faults import DiskNearlyFull

ENDING = ".reserve"

# A signature takes some 6 kB of record and write-ahead log together.
RESERVE_BYTES = 8 * 1024 * 1024
# It is not taken from a disk that it would half fill itself.
_TIMES_FREE = 4
# From here on the lead is told: a day's lists, papers and bundle may need as much.
NEARLY_FULL_BYTES = 500_000_000
# What applying a row of a list takes of record and write-ahead log together: a mark 2.5 kB, a
# person who is added up to 15 kB, with the look-alikes that the new line makes.
ROW_BYTES, PERSON_BYTES = 4_000, 16_000
# One list may take a hundredth of what is free then: with 400 MB left, a thousand rows. So the lead
# finishes the day with its short lists, and a hundred of them in a row leave more than a third.
_SHARE = 100

# SQLITE_FULL, as SQLite words it.
_FULL = "database or disk is full"


class Reserve:
    """The reserve of the record at `path`; without one (another database) nothing is kept."""

    def __init__(self, path: Path | None) -> None:
        self._path = None if path is None else path.with_name(path.name + ENDING)

    def keep(self) -> bool:
        """Set the room aside where there is plenty; whether it is there now. Safe to call twice."""
        if self._path is None:
            return False
        if self._path.exists():
            return True
        try:
            if shutil.disk_usage(self._path.parent).free < _TIMES_FREE * RESERVE_BYTES:
                return False
            _fill(self._path)
        except OSError:
            self.release()
            return False
        return True

    def release(self) -> bool:
        """Give the room up; whether there was any."""
        if self._path is None:
            return False
        try:
            self._path.unlink()
        except OSError:
            return False
        return True


def is_full(error: BaseException) -> bool:
    """Whether the disk has no room, of whatever a commit raised."""
    if isinstance(error, OSError):
        return error.errno in (errno.ENOSPC, errno.EDQUOT)
    return isinstance(error, DBAPIError) and _FULL in str(error.orig)


def nearly_full(path: Path | None) -> int | None:
    """The bytes that are free beside the record where they are few, None where they are not."""
    if path is None:
        return None
    with suppress(OSError):
        free = shutil.disk_usage(path.parent).free
        return free if free < NEARLY_FULL_BYTES else None
    return None


def check_room(path: Path | None, rows: int | None = None, row_bytes: int = ROW_BYTES) -> None:
    """DiskNearlyFull where the disk of the record has little room and so many rows are too many.

    None for what is never taken then, however small. What a person keys one by one is not asked
    about: a day must be able to go on to its end, and what is left by then is the reserve's.
    """
    free = nearly_full(path)
    if free is None:
        return
    if rows is None:
        raise DiskNearlyFull(megabytes=in_megabytes(free))
    most_rows = free // (_SHARE * row_bytes)
    if rows > most_rows:
        raise DiskNearlyFull(megabytes=in_megabytes(free), most_rows=most_rows)


def leaves_the_reserve(path: Path, needed: int) -> bool:
    """Whether so many bytes can be written beside `path` with the reserve's room left over."""
    with suppress(OSError):
        return shutil.disk_usage(path.parent).free - needed >= RESERVE_BYTES
    return True


def in_megabytes(count: int) -> int:
    """Whole ones, as the words for people say it."""
    return count // 1_000_000


def _fill(path: Path) -> None:
    """Real bytes where the file system cannot promise them: a hole in a file is no room."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o600)
    try:
        if hasattr(os, "posix_fallocate"):
            os.posix_fallocate(descriptor, 0, RESERVE_BYTES)
        else:
            os.write(descriptor, bytes(RESERVE_BYTES))
    finally:
        os.close(descriptor)
