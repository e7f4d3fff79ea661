"""Read the files of a zipped package without trusting anything the zip says about itself.

The archive is read into memory first, so that it cannot change between the checks and the
reading. Its directory is measured before `zipfile` sees it, because `zipfile` reads a directory
of any length. The files lie at the top of the zip or inside exactly one folder.
"""

from __future__ import annotations

import io
import os
import stat
import struct
import zipfile
from pathlib import Path

from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.shelf import Shelf, is_left_behind
from app.intake.zip_damage import ZIP_DAMAGE

# Names, sizes and places of a few hundred files; a directory longer than this is not a package's.
_DIRECTORY_BYTES = 64_000

# Registers pack to between a third and a thirtieth. Deflate can reach a thousandth, and below
# a megabyte that does no harm.
_LARGEST_RATIO = 200
_RATIO_COUNTS_FROM_BYTES = 1_000_000

_CHUNK_BYTES = 65_536

# The record that ends every zip (APPNOTE 4.3.16), and the one that stands before it where the
# zip uses the 64-bit extension (4.3.15), which nothing under 4 GB needs.
_END = struct.Struct("<4s4H2LH")
_END_MARK = b"PK\x05\x06"
_LOCATOR_MARK = b"PK\x06\x07"
_LOCATOR_BYTES = 20

_ENCRYPTED_FLAGS = 0x1 | 0x40 | 0x2000


def read_zip(path: Path, shelf: Shelf) -> bool:
    """Put the files of the zip on the shelf; False where it could not be opened."""
    faults = shelf.faults
    try:
        with path.open("rb") as file:
            # read(n) takes n bytes of memory at once, whatever the size of the file.
            data = file.read(min(os.fstat(file.fileno()).st_size, shelf.zip_bytes) + 1)
    except OSError as error:
        faults.add(Code.CANNOT_BE_READ, faults.package, found=error.strerror or "")
        return False
    members = _stated_members(data, shelf)
    if members is None:
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            # One wrong length in the directory swallows the entries behind it, and zipfile
            # does not count: a list would be gone without a word.
            if len(archive.infolist()) == members:
                _read_members(archive, shelf)
                return True
    except ZIP_DAMAGE:
        pass  # what zipfile says of it helps nobody at a counter
    faults.add(Code.ZIP_DAMAGED, faults.package, expected="a whole zip file")
    return False


def _stated_members(data: bytes, shelf: Shelf) -> int | None:
    """How many members the zip says it has; None and a fault where it is not worth opening.

    Checks the size, the kind and the directory's length before `zipfile` reads it.
    """
    faults, package = shelf.faults, shelf.faults.package
    if len(data) > shelf.zip_bytes:
        faults.add(Code.PACKAGE_TOO_LARGE, package, expected=f"at most {shelf.zip_bytes:,} bytes")
        return None
    if not data.startswith(b"PK"):
        faults.add(Code.NOT_A_PACKAGE, package, expected="a folder or a .zip file")
        return None
    end = data[-_END.size :]
    if len(end) < _END.size or not end.startswith(_END_MARK):
        expected = "a zip file whose last bytes are those that end a zip"
        faults.add(Code.ZIP_DAMAGED, package, expected=expected)
        return None
    members: int
    _, _, _, _, members, directory_bytes, _, _ = _END.unpack(end)
    if data[-_END.size - _LOCATOR_BYTES :].startswith(_LOCATOR_MARK):
        faults.add(Code.ZIP_METHOD, package, found="64-bit zip", expected="an ordinary zip")
        return None
    if members > shelf.most_files or directory_bytes > _DIRECTORY_BYTES:
        found, expected = f"{members:,} entries", f"at most {shelf.most_files} files"
        faults.add(Code.TOO_MANY_FILES, package, found=found, expected=expected)
        return None
    return members


def _read_members(archive: zipfile.ZipFile, shelf: Shelf) -> None:
    faults = shelf.faults
    safe = []
    for member in archive.infolist():
        parts = _parts(member.orig_filename)
        if parts is None:
            expected = "a plain file name"
            faults.add(Code.UNSAFE_NAME, member.orig_filename, expected=expected)
        elif not any(is_left_behind(part) for part in parts):
            safe.append((parts, member))
    depth = _common_depth([parts for parts, member in safe if not member.is_dir()])
    seen: set[str] = set()
    for parts, member in safe:
        if member.is_dir() and len(parts) <= depth:
            continue
        if member.is_dir() or len(parts) != depth + 1:
            faults.add(Code.UNEXPECTED_FOLDER, "/".join(parts), expected="files side by side")
        elif parts[-1].lower() in seen:
            faults.add(Code.DUPLICATE_FILE, parts[-1], expected="each name once")
        else:
            seen.add(parts[-1].lower())
            _read_member(archive, member, parts[-1], shelf)


def _parts(name: str) -> tuple[str, ...] | None:
    """The folders and the file name, or None where the name could lead out of the package."""
    if not name.isprintable() or "\\" in name or ":" in name or name.startswith("/"):
        return None
    parts = tuple(name.removesuffix("/").split("/"))
    return None if any(part.strip() in ("", ".", "..") for part in parts) else parts


def _common_depth(names: list[tuple[str, ...]]) -> int:
    """1 where every file lies in the same one folder, otherwise 0."""
    tops = {name[0] for name in names}
    return 1 if len(tops) == 1 and all(len(name) > 1 for name in names) else 0


def _read_member(
    archive: zipfile.ZipFile, member: zipfile.ZipInfo, name: str, shelf: Shelf
) -> None:
    faults = shelf.faults
    kind = stat.S_IFMT(member.external_attr >> 16)
    if kind not in (0, stat.S_IFREG):
        faults.add(Code.LINK_REFUSED, name, expected="a file")
    elif not shelf.admits(name):
        return
    elif member.flag_bits & _ENCRYPTED_FLAGS:
        faults.add(Code.ZIP_ENCRYPTED, name, expected="a file without a password")
    elif member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        found = f"method {member.compress_type}"
        faults.add(Code.ZIP_METHOD, name, found=found, expected="deflated or stored")
    elif _swells(member, member.file_size):
        _add_swelling(faults, name, member.file_size)
    elif shelf.fits(name, member.file_size):
        _inflate(archive, member, name, shelf)


def _inflate(archive: zipfile.ZipFile, member: zipfile.ZipInfo, name: str, shelf: Shelf) -> None:
    """Read one member, counting: the size that the zip states may be false."""
    data = bytearray()
    try:
        with archive.open(member) as file:
            while chunk := file.read(_CHUNK_BYTES):
                data += chunk
                if _swells(member, len(data)):
                    _add_swelling(shelf.faults, name, len(data))
                    return
                if len(data) > shelf.limits[name]:
                    break
    except ZIP_DAMAGE:
        shelf.faults.add(Code.ZIP_DAMAGED, name, expected="a file that unpacks whole")
        return
    if shelf.fits(name, len(data)):
        shelf.put(name, bytes(data))


def _swells(member: zipfile.ZipInfo, size: int) -> bool:
    return size > _RATIO_COUNTS_FROM_BYTES and size > _LARGEST_RATIO * max(member.compress_size, 1)


def _add_swelling(faults: FaultList, name: str, size: int) -> None:
    found = f"{size:,} bytes or more once unpacked"
    expected = f"at most {_LARGEST_RATIO} times the packed size"
    faults.add(Code.ZIP_SWELLS, name, found=found, expected=expected)
