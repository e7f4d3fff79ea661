"""A zip of files that are stored as they are: the same files always give the same bytes.

Nothing is compressed and no time is written, so the bytes follow from names and contents alone,
whatever made them; whoever has the files can make the zip again and compare every byte. It is the
plain form of PKWARE's APPNOTE 6.3 (4.3.7, 4.3.12, 4.3.16), which any program unpacks.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator, Mapping

_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_LOCAL_MARK, _CENTRAL_MARK, _END_MARK = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"

# Version 2.0 is what is needed to unpack; made by the same on Unix, which says the rights.
_NEEDED = 20
_MADE_BY = 3 << 8 | _NEEDED
_STORED = 0
_NO_FLAGS = 0
# 1 January 1980, midnight: the first moment that the format knows.
_NO_TIME, _FIRST_DAY = 0, 0x21
# A plain file that its owner alone may read and write.
_RIGHTS = 0o100600 << 16
_NO_EXTRA = _NO_COMMENT = _FIRST_DISK = _NO_ATTRIBUTES = 0

# Beyond this the format needs its 64-bit extension, which is not written here.
LARGEST = 0xFFFF_FFFF


def zip_pieces(files: Mapping[str, bytes]) -> Iterator[bytes]:
    """The zip, piece by piece, its files in the order given. Names are ASCII.

    OverflowError where it would be longer than `LARGEST`.
    """
    directory, at = [], 0
    for name, data in files.items():
        checked = _about(data)
        if at + len(data) > LARGEST:
            raise OverflowError("too large for a plain zip")
        local = _LOCAL.pack(_LOCAL_MARK, *checked, len(name), _NO_EXTRA) + name.encode("ascii")
        directory.append(_entry(name, checked, at))
        yield local
        yield data
        at += len(local) + len(data)
    listed = b"".join(directory)
    yield listed
    count = len(directory)
    yield _END.pack(_END_MARK, 0, 0, count, count, len(listed), at, _NO_COMMENT)


def _about(data: bytes) -> tuple[int, ...]:
    """What local and central header say alike."""
    size = len(data)
    return (_NEEDED, _NO_FLAGS, _STORED, _NO_TIME, _FIRST_DAY, zlib.crc32(data), size, size)


def _entry(name: str, checked: tuple[int, ...], at: int) -> bytes:
    rest = (len(name), _NO_EXTRA, _NO_COMMENT, _FIRST_DISK, _NO_ATTRIBUTES, _RIGHTS, at)
    return _CENTRAL.pack(_CENTRAL_MARK, _MADE_BY, *checked, *rest) + name.encode("ascii")
