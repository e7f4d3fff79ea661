"""A PDF written from its first byte to its last, so that a long one takes no more memory.

Objects go out as soon as they are whole; what is kept is where each of them begins, eight bytes
an object. Small objects go out many at a time, packed and compressed (ISO 32000-1, 7.5.7), and
the table of where everything begins comes last (7.5.8). Knows no pages, fonts or text.
"""

from __future__ import annotations

import zlib
from array import array
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

Write = Callable[[bytes], object]

# An object that stands in a packed one: this bit, the number of the packed one, the place in it.
_PACKED = 1 << 62
_PLACE_BITS = 16
# Rows of the closing table written at a time.
_ROWS_AT_ONCE = 4096
# Level 6 is half as fast again for a twentieth less.
_LEVEL = 4


class PdfStream:
    """Objects by number, each put once, in any order; `finish` ends the file."""

    def __init__(self, write: Write) -> None:
        self._sink = write
        self._written = 0
        # Number 0 is never used.
        self._places = array("Q", [0])
        # The four high bytes tell programs that this is no text (7.5.2).
        self._write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def reserve(self) -> int:
        """A number for an object that comes later, and can be referred to already."""
        self._places.append(0)
        return len(self._places) - 1

    def put(self, number: int, body: bytes) -> None:
        """The object of this number, whole."""
        self._places[number] = self._written
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, body))

    def put_stream(self, number: int, data: bytes, keys: bytes = b"") -> None:
        """Bytes, compressed; `keys` are written into the dictionary before them."""
        packed = zlib.compress(data, _LEVEL)
        keys += b"/Filter/FlateDecode"
        self._places[number] = self._written
        head = b"%d 0 obj\n<<%b/Length %d>>\nstream\n" % (number, keys, len(packed))
        self._write(head + packed + b"\nendstream\nendobj\n")

    def put_packed(self, objects: Sequence[tuple[int, bytes]]) -> None:
        """Small objects, none of them a stream, together."""
        if not objects:
            return
        holder = self.reserve()
        starts, bodies, at = [], [], 0
        for place, (number, body) in enumerate(objects):
            self._places[number] = _PACKED | holder << _PLACE_BITS | place
            starts.append(b"%d %d" % (number, at))
            bodies.append(body)
            at += len(body) + 1
        first = b" ".join(starts) + b"\n"
        keys = b"/Type/ObjStm/N %d/First %d" % (len(objects), len(first))
        self.put_stream(holder, first + b"\n".join(bodies), keys)

    def finish(self, root: int, info: int) -> None:
        """The table of all objects, and the end. Numbers reserved and never put are free."""
        number = self.reserve()
        self._places[number] = began = self._written
        packing = zlib.compressobj(_LEVEL)
        parts = [
            packing.compress(b"".join(map(_row, self._places[at : at + _ROWS_AT_ONCE])))
            for at in range(0, len(self._places), _ROWS_AT_ONCE)
        ]
        data = b"".join([*parts, packing.flush()])
        keys = b"/Type/XRef/Size %d/W[1 8 2]/Root %d 0 R/Info %d 0 R" % (
            *(len(self._places), root, info),
        )
        keys += b"/Filter/FlateDecode/Length %d" % len(data)
        self._write(b"%d 0 obj\n<<%b>>\nstream\n%b\nendstream\nendobj\n" % (number, keys, data))
        self._write(b"startxref\n%d\n%%%%EOF\n" % began)

    def _write(self, data: bytes) -> None:
        self._written += len(data)
        self._sink(data)


def _row(place: int) -> bytes:
    """One row of the closing table: free, at an offset, or packed in another object."""
    if place & _PACKED:
        rest = place ^ _PACKED
        holder, index = rest >> _PLACE_BITS, rest & ((1 << _PLACE_BITS) - 1)
        return b"\2" + holder.to_bytes(8, "big") + index.to_bytes(2, "big")
    return (b"\1" if place else b"\0") + place.to_bytes(8, "big") + b"\0\0"


def reference(number: int) -> bytes:
    return b"%d 0 R" % number


def references(numbers: Sequence[int]) -> bytes:
    """An array of references."""
    return b"[" + b" ".join(map(reference, numbers)) + b"]"


def text_string(text: str) -> bytes:
    """Text outside the pages, such as a title (7.9.2.2)."""
    return b"<feff" + text.encode("utf-16-be", "replace").hex().encode() + b">"


def date_string(at: datetime) -> bytes:
    """A moment, in UTC (7.9.4)."""
    return at.astimezone(UTC).strftime("(D:%Y%m%d%H%M%SZ)").encode()
