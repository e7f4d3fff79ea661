"""A carbon that failed while it was written: what is left of it, and whether it is still that.

A device may lose the end of an open file without any error. The next line then stands behind a
cut, where it makes the file look changed; taken off again, what is left can be recovered from. And
such a file was whole when this program opened it, so that it may be written anew however it was
cut, as long as nobody else has touched it since. Any other damage is left for the registrar.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class AsLeft:
    """One file in one state. Another stick's has not all four, though its number be the same."""

    device: int
    file: int
    size: int
    changed_ns: int


def as_it_is(path: Path) -> AsLeft:
    return _of(path.stat())


def leave(descriptor: int, path: Path, line: bytes, most: int) -> AsLeft | None:
    """Take `line` off where it stands behind a cut, and say how the file is left.

    `most` is its size where nothing was cut. None where it is larger, so that somebody else wrote
    into it too, or where it is no longer there.
    """
    try:
        if os.fstat(descriptor).st_size < most:
            _take_off(descriptor, path, line)
        found = as_it_is(path)
        is_there = found == _of(os.fstat(descriptor))
    except OSError:
        return None
    return found if is_there and found.size <= most else None


def _take_off(descriptor: int, path: Path, line: bytes) -> None:
    # What was cut may stand on a device that fails: then it is left as it is.
    with suppress(OSError), path.open("r+b") as file:
        if not os.path.samestat(os.fstat(descriptor), os.fstat(file.fileno())):
            return
        before = file.seek(0, os.SEEK_END) - len(line)
        file.seek(max(before, 0))
        if before >= 0 and file.read() == line:
            file.truncate(before)
            os.fsync(file.fileno())


def _of(found: os.stat_result) -> AsLeft:
    return AsLeft(found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns)
