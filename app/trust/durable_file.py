"""A file that is there whole and stays there, or is not there at all."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path

TEMPORARY = ".new"


def write_durably(target: Path, pieces: Iterable[bytes]) -> None:
    """Write beside the target, sync, rename, sync the folder; only its owner may read it.

    OSError where it cannot be done; then the target is what it was before.
    """
    fresh = temporary_of(target)
    fresh.unlink(missing_ok=True)
    try:
        with os.fdopen(os.open(fresh, _CREATE, 0o600), "wb") as file:
            file.writelines(pieces)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(target)
    finally:
        fresh.unlink(missing_ok=True)
    sync_folder(target.parent)


def temporary_of(target: Path) -> Path:
    return target.with_name(target.name + TEMPORARY)


# Never through a link that somebody laid there meanwhile.
_CREATE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def sync_folder(folder: Path) -> None:
    """The rename itself; Windows has no such sync and needs none."""
    with contextlib.suppress(PermissionError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
