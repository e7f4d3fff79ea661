"""Open a package, folder or zip, and bring its files into memory within fixed limits.

Nothing is ever unpacked to disk. Sizes are checked before a file is read and counted again
while it is read. What a file contains is not looked at here.
"""

from __future__ import annotations

import os
import stat
from itertools import islice
from pathlib import Path

from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.shelf import MAX_FILES, Shelf, is_left_behind
from app.intake.zips import read_zip


def read_files(path: Path, faults: FaultList) -> dict[str, bytes] | None:
    """The known files of the package by name, in `FILE_ORDER`.

    None where nothing could be opened at all; a file that could not be read is left out and
    has its fault. Missing files are not reported here.
    """
    try:
        kind = path.stat().st_mode
    except FileNotFoundError:
        faults.add(Code.PACKAGE_NOT_FOUND, faults.package, expected="a folder or a .zip file")
        return None
    except (OSError, ValueError) as error:
        faults.add(Code.CANNOT_BE_READ, faults.package, found=_reason(error))
        return None
    shelf = Shelf(faults)
    if stat.S_ISDIR(kind):
        opened = _read_folder(path, shelf)
    elif stat.S_ISREG(kind):
        opened = read_zip(path, shelf)
    else:
        faults.add(Code.NOT_A_PACKAGE, faults.package, expected="a folder or a .zip file")
        return None
    return shelf.in_order() if opened else None


def _read_folder(folder: Path, shelf: Shelf) -> bool:
    faults = shelf.faults
    try:
        with os.scandir(folder) as entries:
            # One more than allowed is enough to know; a huge folder is not read to its end.
            found = list(islice(entries, MAX_FILES + 1))
    except OSError as error:
        faults.add(Code.CANNOT_BE_READ, faults.package, found=_reason(error))
        return False
    if len(found) > MAX_FILES:
        faults.add(Code.TOO_MANY_FILES, faults.package, expected=f"at most {MAX_FILES} files")
        return False
    for entry in sorted(found, key=lambda each: each.name):
        try:
            _read_entry(entry, shelf)
        except OSError as error:
            faults.add(Code.CANNOT_BE_READ, entry.name, found=_reason(error))
    return True


def _read_entry(entry: os.DirEntry[str], shelf: Shelf) -> None:
    name = entry.name
    if is_left_behind(name):
        return
    if entry.is_dir(follow_symlinks=False):
        shelf.faults.add(Code.UNEXPECTED_FOLDER, name, expected="files only")
    elif not entry.is_file(follow_symlinks=False):
        shelf.faults.add(Code.LINK_REFUSED, name, expected="a file")
    elif shelf.admits(name):
        _read_plain_file(entry.path, name, shelf)


def _read_plain_file(path: str, name: str, shelf: Shelf) -> None:
    # The entry may be swapped for a link or a pipe between the look and the opening.
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    flags |= getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        status = os.fstat(file.fileno())
        if not stat.S_ISREG(status.st_mode):
            shelf.faults.add(Code.LINK_REFUSED, name, expected="a file")
            return
        if not shelf.fits(name, status.st_size):
            return
        # Not read(limit): it takes that much memory at once, whatever the size of the file.
        data = file.read(status.st_size + 1)
    if shelf.fits(name, len(data)):
        shelf.put(name, data)


def _reason(error: OSError | ValueError) -> str:
    # Never str(error) of an OSError: it carries the full path, which is nobody's business here.
    return (error.strerror or "") if isinstance(error, OSError) else str(error)
